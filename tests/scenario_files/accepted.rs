//! Files that are read, and what they become.

#[test]
fn spike() {
    for f in std::env::var("FILES").unwrap().split(' ') {
        match ebbwright::scenario::read(std::path::Path::new(f)) {
            Ok(s) => println!("{:#?}\n{}", s.system, s.render_warnings(false)),
            Err(e) => println!("{}", e.render(false)),
        }
    }
}
