//! Properties that the page of a siphon keeps, over many invented ones.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use proptest::prelude::*;

use super::*;
use crate::model::{AirTube, Guard};
use crate::plots::sample::{self, Wish};
use crate::plots::tests::{TextBox, texts};

/// One bed of an invented system, changed.
fn bed(change: impl FnOnce(&mut Bed)) -> Bed {
    let mut bed = sample::system(&Wish::default()).beds.remove(0);
    change(&mut bed);
    bed
}

fn pieces(long: bool) -> Vec<[String; 3]> {
    let what =
        "21.2 mm bore, 27.2 mm outside (3/4 in Schedule 40); bed floor to lip, the joint on top";
    let names = [
        "standpipe",
        "bell tube",
        "guard",
        "air tube",
        "down leg",
        "lateral",
        "fittings",
    ];
    names
        .iter()
        .map(|name| {
            let what = if long {
                what.repeat(2)
            } else {
                what.to_owned()
            };
            [(*name).to_owned(), "10 15/16 in".to_owned(), what]
        })
        .collect()
}

fn page<'a>(bed: &'a Bed, pieces: &'a [[String; 3]]) -> SiphonPage<'a> {
    let lip = bed.siphon.standpipe.lip_height;
    SiphonPage {
        title: "Invented shed",
        bed,
        guard: bed.guard.as_ref().map(|_| bed.media.depth + 0.05),
        peak: Some(lip + 0.008),
        allowance: 0.005,
        pieces,
        refused: None,
    }
}

/// No text meets another or leaves what both paper sizes have, and none is small.
fn orderly(page: &SiphonPage, units: UnitSystem) -> Vec<TextBox> {
    let (boxes, (width, height)) = texts(&paint::svg(&lay_out(page, units)).unwrap());
    assert_eq!((width, height), SIZE);
    for (i, a) in boxes.iter().enumerate() {
        assert!(a.size > 10.99, "small print {a:?}");
        let inside =
            a.left >= 19.0 && a.right <= width - 19.0 && a.top >= 19.0 && a.bottom <= 1056.0;
        assert!(inside, "off the page {a:?}");
        for b in &boxes[..i] {
            assert!(!a.meets(b), "{units:?}: {a:?} over {b:?}");
        }
    }
    boxes
}

fn both(page: &SiphonPage) {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        orderly(page, units);
    }
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 48,
        failure_persistence: None,
        ..ProptestConfig::default()
    })]
    #[test]
    fn texts_never_cover_each_other(
        media in 0.05_f64..1.2,
        share in 0.15_f64..0.95,
        bore in 0.010_f64..0.11,
        flare in 1.0_f64..1.6,
        clearance in 0.003_f64..0.12,
        gap in 0.01_f64..0.1,
        crown in 0.05_f64..0.9,
        (count, guarded, tubed, long) in (1_u32..24, any::<bool>(), any::<bool>(), any::<bool>()),
    ) {
        let bed = bed(|bed| {
            let lip = media * share;
            bed.media.depth = media;
            let siphon = &mut bed.siphon;
            siphon.standpipe.bore = bore;
            siphon.standpipe.outside = bore + 0.006;
            siphon.standpipe.lip_height = lip;
            siphon.standpipe.lip_diameter = bore * flare;
            siphon.bell.bore = bore * flare + 2.0 * gap;
            siphon.bell.outside = siphon.bell.bore + 0.006;
            siphon.bell.clearance = clearance;
            siphon.bell.slots.count = count;
            siphon.bell.slots.height = crown * lip;
            let tube = AirTube { bore: 0.008, mouth_height: 0.9 * crown * lip };
            siphon.bell.air_tube = tubed.then_some(tube);
            let diameter = siphon.bell.outside + 0.03;
            bed.guard = guarded.then_some(Guard { diameter, slot_area: None });
        });
        let pieces = pieces(long);
        both(&page(&bed, &pieces));
    }
}

#[test]
fn names_and_reasons_of_any_length_stay_on_the_page() {
    let bed = bed(|bed| bed.name = "A <bed> & \"barn\" ".repeat(20));
    let pieces = pieces(true);
    let why = "There is no standpipe for it, for the gravel is far too shallow. ".repeat(20);
    let title = "a title that goes on ".repeat(30);
    both(&SiphonPage {
        title: &title,
        ..page(&bed, &pieces)
    });
    both(&SiphonPage {
        refused: Some(&why),
        title: &title,
        ..page(&bed, &[])
    });
}

/// Lengths of upright dimension lines in the SVG against those they state.
#[test]
fn the_drawing_is_to_the_scale_it_states() {
    let bed = bed(|_| {});
    let pieces = pieces(false);
    let page = page(&bed, &pieces);
    let boxes = orderly(&page, UnitSystem::Metric);
    let said = boxes
        .iter()
        .find(|text| text.text.starts_with("Scale 1 : "))
        .unwrap();
    let ratio: f64 = said.text["Scale 1 : ".len()..]
        .split(' ')
        .next()
        .unwrap()
        .parse()
        .unwrap();
    let sheet = lay_out(&page, UnitSystem::Metric);
    // 96 px to the inch by definition of the CSS pixel.
    let paper = |px: f64| px / 96.0 * 25.4;
    let lip_mm = bed.siphon.standpipe.lip_height * 1000.0;
    let guard_mm = bed.guard.as_ref().unwrap().diameter * 1000.0;
    let mut upright = 0;
    let mut across = 0;
    // A dimension line ends half an arrow head short of both its ends.
    const SHORT: f64 = 8.0;
    for mark in &sheet.marks {
        let Mark::Line { points, .. } = mark else {
            continue;
        };
        let [a, b] = points[..] else { continue };
        let near = |px: f64, mm: f64| (paper(px) * ratio - mm).abs() < 0.01;
        upright += usize::from(a.0 == b.0 && near((a.1 - b.1).abs() + SHORT, lip_mm));
        across += usize::from(a.1 == b.1 && near((a.0 - b.0).abs() + SHORT, guard_mm));
    }
    assert_eq!((upright, across), (1, 1));
    // And the texts say what the lines measure.
    let has = |text: &str| boxes.iter().any(|found| found.text == text);
    assert!(has(&format!("{lip_mm:.0} mm")), "standpipe");
    assert!(has(&format!("guard inside {guard_mm:.0} mm")), "guard");
}

#[test]
fn the_same_page_gives_the_same_bytes_and_a_print_of_twice_the_size() {
    let bed = bed(|_| {});
    let pieces = pieces(false);
    let draw = || siphon_page(&page(&bed, &pieces), UnitSystem::Us).unwrap();
    let (first, second) = (draw(), draw());
    assert!(first == second);
    let reader = png::Decoder::new(first.png.as_slice()).read_info().unwrap();
    assert_eq!((reader.info().width, reader.info().height), (1588, 2246));
}
