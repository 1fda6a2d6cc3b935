//! The engine for a page: four functions and no imports. The page asks `input` for room, writes
//! its question there, calls `run`, and reads `length` bytes at `output`; question and answer
//! are JSON text in UTF-8 (see `ebbwright::page::Engine`).

use std::cell::RefCell;

use ebbwright::page::Engine;

#[derive(Default)]
struct Desk {
    question: Vec<u8>,
    answer: String,
    engine: Engine,
}

thread_local! {
    static DESK: RefCell<Desk> = RefCell::default();
}

/// Room for a question of so many bytes; what `output` gave is gone with the next `run`.
// SAFETY: no other symbol of this module has the name.
#[unsafe(no_mangle)]
pub extern "C" fn input(bytes: usize) -> *mut u8 {
    DESK.with_borrow_mut(|desk| {
        desk.question.clear();
        desk.question.resize(bytes, 0);
        desk.question.as_mut_ptr()
    })
}

/// Answers the question.
// SAFETY: no other symbol of this module has the name.
#[unsafe(no_mangle)]
pub extern "C" fn run() {
    DESK.with_borrow_mut(|desk| {
        let question = String::from_utf8_lossy(&desk.question);
        desk.answer = desk.engine.call(&question);
    });
}

/// Where the answer begins.
// SAFETY: no other symbol of this module has the name.
#[unsafe(no_mangle)]
pub extern "C" fn output() -> *const u8 {
    DESK.with_borrow(|desk| desk.answer.as_ptr())
}

/// Bytes of the answer.
// SAFETY: no other symbol of this module has the name.
#[unsafe(no_mangle)]
pub extern "C" fn length() -> usize {
    DESK.with_borrow(|desk| desk.answer.len())
}
