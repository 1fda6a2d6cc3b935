//! Properties that every picture keeps, over many invented systems.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use super::sample::{self, Wish};
use super::*;
use crate::hydraulics::vessel::VesselShape;
use crate::model::TankOutlet;
use crate::simulation::{Sampling, simulate};

const BOTH: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];

/// Systems that stretch the layout one way or another.
fn wishes() -> Vec<(&'static str, Wish)> {
    let tote = VesselShape::Tapered {
        top_length: 0.8,
        top_width: 0.6,
        bottom_length: 0.7,
        bottom_width: 0.45,
        depth: 0.42,
    };
    let basin = VesselShape::Box {
        length: 2.5,
        width: 1.6,
        depth: 0.58,
    };
    let many = |beds: usize| Wish {
        beds,
        sump: basin.clone(),
        line_bore: 0.1,
        hours: 3.0,
        ..Wish::default()
    };
    vec![
        ("one bed", Wish::default()),
        (
            "two beds straight to the sump",
            Wish {
                line: false,
                ..many(2)
            },
        ),
        ("four beds", many(4)),
        (
            "five beds straight to the sump",
            Wish {
                line: false,
                ..many(5)
            },
        ),
        (
            "tank that feeds the bed",
            Wish {
                tank: Some(TankOutlet::Beds),
                ..many(1)
            },
        ),
        (
            "tank that feeds three beds straight to the sump",
            Wish {
                tank: Some(TankOutlet::Beds),
                line: false,
                ..many(3)
            },
        ),
        (
            "tank beside six beds",
            Wish {
                tank: Some(TankOutlet::Sump),
                ..many(6)
            },
        ),
        (
            "tank and settler",
            Wish {
                tank: Some(TankOutlet::Settler),
                line: false,
                sump: basin.clone(),
                ..Wish::default()
            },
        ),
        ("eight beds", many(8)),
        ("twelve beds", many(12)),
        (
            "measured flow",
            Wish {
                steady: Some(10.0),
                ..Wish::default()
            },
        ),
        (
            "dribbles",
            Wish {
                steady: Some(5.0),
                ..Wish::default()
            },
        ),
        (
            "runs on",
            Wish {
                steady: Some(30.0),
                ..Wish::default()
            },
        ),
        (
            "stalls",
            Wish {
                steady: Some(50.0),
                ..Wish::default()
            },
        ),
        (
            "over before the lip",
            Wish {
                hours: 0.02,
                ..Wish::default()
            },
        ),
        (
            "half barrels over a tote",
            Wish {
                beds: 3,
                sump: tote.clone(),
                bed_shape: VesselShape::LyingCylinder {
                    diameter: 0.5,
                    length: 0.85,
                },
                hours: 3.0,
                ..Wish::default()
            },
        ),
        (
            "a high hall",
            Wish {
                scale: 8.0,
                sump: VesselShape::UprightCylinder {
                    diameter: 6.0,
                    depth: 2.0,
                },
                bed_shape: VesselShape::Box {
                    length: 30.0,
                    width: 9.0,
                    depth: 0.6,
                },
                beds: 3,
                hours: 1.0,
                ..Wish::default()
            },
        ),
        (
            "a table-top toy",
            Wish {
                scale: 0.35,
                sump: VesselShape::Table {
                    depth: vec![0.0, 0.1, 0.25],
                    area: vec![0.05, 0.12, 0.15],
                },
                bed_shape: VesselShape::Box {
                    length: 0.3,
                    width: 0.2,
                    depth: 0.15,
                },
                air_tube: false,
                hours: 1.0,
                ..Wish::default()
            },
        ),
        (
            "sixty beds",
            Wish {
                hours: 0.05,
                ..many(60)
            },
        ),
        (
            "names and titles of any kind",
            Wish {
                beds: 8,
                title: format!(
                    "A <shed> & \"barn\" {}",
                    "with a very long title ".repeat(20)
                ),
                ..many(8)
            },
        ),
    ]
}

/// A text of an SVG with the box it covers, in pixels.
#[derive(Debug)]
pub(super) struct TextBox {
    pub(super) text: String,
    pub(super) size: f64,
    pub(super) left: f64,
    pub(super) right: f64,
    pub(super) top: f64,
    pub(super) bottom: f64,
}

impl TextBox {
    pub(super) fn meets(&self, other: &TextBox) -> bool {
        const TOUCH: f64 = 0.05;
        self.left + TOUCH < other.right
            && other.left + TOUCH < self.right
            && self.top + TOUCH < other.bottom
            && other.top + TOUCH < self.bottom
    }
}

fn attribute<'a>(tag: &'a str, name: &str) -> &'a str {
    let start = tag.find(&format!(" {name}=\"")).unwrap() + name.len() + 3;
    let length = tag[start..].find('"').unwrap();
    &tag[start..start + length]
}

fn number(tag: &str, name: &str) -> f64 {
    attribute(tag, name).parse().unwrap()
}

/// All texts of an SVG and its size, read from the document itself.
pub(super) fn texts(svg: &str) -> (Vec<TextBox>, (f64, f64)) {
    let head = &svg[..svg.find('>').unwrap()];
    let size = (number(head, "width"), number(head, "height"));
    let view: Vec<f64> = attribute(head, "viewBox")
        .split(' ')
        .map(|part| part.parse().unwrap())
        .collect();
    let units = view[2] / size.0;
    assert!((view[3] / size.1 - units).abs() < 1e-9);
    let boxes = svg
        .split("<text")
        .skip(1)
        .map(|rest| {
            let (tag, after) = rest.split_once('>').unwrap();
            let text = after.split("</text>").next().unwrap().trim_matches('\n');
            let text = text
                .replace("&lt;", "<")
                .replace("&gt;", ">")
                .replace("&quot;", "\"")
                .replace("&apos;", "'")
                .replace("&amp;", "&");
            let size = number(tag, "font-size") / units;
            let (x, y) = (number(tag, "x") / units, number(tag, "y") / units);
            assert_eq!(attribute(tag, "dy"), "0.76em");
            assert!(attribute(tag, "font-family").ends_with("sans-serif"));
            let width = sheet::text_width(&text, size);
            let left = match attribute(tag, "text-anchor") {
                "start" => x,
                "middle" => x - 0.5 * width,
                "end" => x - width,
                other => panic!("unknown anchor {other}"),
            };
            // Figures and letters of the font reach 0.76 em over the baseline
            // and 0.24 em under it.
            TextBox {
                text,
                size,
                left,
                right: left + width,
                top: y,
                bottom: y + size,
            }
        })
        .collect();
    (boxes, size)
}

#[test]
fn labels_never_cover_each_other_and_stay_on_the_page() {
    for (what, wish) in wishes() {
        let system = sample::system(&wish);
        let run = sample::run(&system);
        let assessment = sample::assessment(&system, &run);
        for units in BOTH {
            for (name, sheet) in pages(&system, &run, &assessment, units).unwrap() {
                let (boxes, (width, height)) = texts(&paint::svg(&sheet).unwrap());
                assert!(
                    boxes.len() > 5,
                    "{what}, {name}: only {} texts",
                    boxes.len()
                );
                for (i, a) in boxes.iter().enumerate() {
                    assert!(a.size > 10.99, "{what}, {name}: small print {a:?}");
                    assert!(
                        a.left >= 0.0 && a.right <= width && a.top >= 0.0 && a.bottom <= height,
                        "{what}, {name}, {units:?}: off the page {a:?}"
                    );
                    for b in &boxes[..i] {
                        assert!(!a.meets(b), "{what}, {name}, {units:?}: {a:?} over {b:?}");
                    }
                }
            }
        }
    }
}

// By hand from the invented measures: beds' rim at 1.30 m, tank floor 0.6 m under it, its
// overflow 0.4 m up and its top 0.5 m; settler floor 0.4 m lower, its overflow 0.65 m up.
#[test]
fn tank_settler_float_valve_and_events_are_shown_and_named() {
    let wish = Wish {
        tank: Some(TankOutlet::Settler),
        ..Wish::default()
    };
    let system = sample::system(&wish);
    let run = sample::run(&system);
    let assessment = sample::assessment(&system, &run);
    let wanted: [(&str, &[&str]); 3] = [
        (
            "section",
            &[
                "tank floor 0.700 m",
                "overflow, to the settler 1.100 m",
                "tank top 1.200 m",
                "inlet, from the pump 1.250 m",
                "overflow, to the sump 0.950 m",
                "float valve opens below",
            ],
        ),
        (
            "levels",
            &[
                "Numbered lines: 1 the pump stops at 1 h, 2 the pump starts again at 1 h 30 min",
                "3 the siphon of north is blocked at 2 h 54 min",
                "4 the inlet of north is shut at 2 h 57 min",
                "overflow 1.100 m",
                "lowest possible",
                "fish tank: water between",
            ],
        ),
        (
            "sump",
            &["Numbered lines: 1 the pump", "float valve opens below"],
        ),
    ];
    for (name, sheet) in pages(&system, &run, &assessment, UnitSystem::Metric).unwrap() {
        let (boxes, _) = texts(&paint::svg(&sheet).unwrap());
        let all: Vec<&str> = boxes.iter().map(|text| text.text.as_str()).collect();
        let all = all.join(" ");
        for (_, texts) in wanted.iter().filter(|entry| entry.0 == name) {
            for text in *texts {
                assert!(all.contains(text), "{name}: no '{text}' in {all}");
            }
        }
    }
    // Without a tank, nothing of it.
    let system = sample::system(&Wish::default());
    let run = sample::run(&system);
    let assessment = sample::assessment(&system, &run);
    for (name, sheet) in pages(&system, &run, &assessment, UnitSystem::Metric).unwrap() {
        let (boxes, _) = texts(&paint::svg(&sheet).unwrap());
        let found = boxes
            .iter()
            .any(|text| text.text.contains("tank") || text.text.contains("Numbered"));
        assert!(!found, "{name}");
    }
}

#[test]
fn the_same_run_gives_the_same_bytes() {
    let draw = || {
        let system = sample::system(&Wish::default());
        let run = sample::run(&system);
        let assessment = sample::assessment(&system, &run);
        draw_all(&system, &run, &assessment, UnitSystem::Us).unwrap()
    };
    let (first, second) = (draw(), draw());
    assert_eq!(first.len(), 5);
    assert!(first == second);
}

#[test]
fn both_files_show_the_same_page() {
    let system = sample::system(&Wish::default());
    let run = sample::run(&system);
    let assessment = sample::assessment(&system, &run);
    for plot in draw_all(&system, &run, &assessment, UnitSystem::Metric).unwrap() {
        let mut reader = png::Decoder::new(plot.png.as_slice()).read_info().unwrap();
        let mut pixels = vec![0; reader.output_buffer_size()];
        let info = reader.next_frame(&mut pixels).unwrap();
        let (boxes, (width, height)) = texts(&plot.svg);
        assert_eq!(
            (f64::from(info.width), f64::from(info.height)),
            (width, height)
        );
        // Where the SVG has a text, the PNG has ink.
        let dark = |left: f64, right: f64, top: f64, bottom: f64| {
            let mut ink = 0;
            for y in (top as usize)..(bottom as usize) {
                for x in (left as usize)..(right as usize) {
                    let at = 3 * (y * info.width as usize + x);
                    ink += usize::from(pixels[at] < 128);
                }
            }
            ink
        };
        for text in &boxes {
            let ink = dark(text.left, text.right, text.top, text.bottom);
            let letters = text.text.chars().filter(|c| !c.is_whitespace()).count();
            assert!(
                ink >= 2 * letters,
                "{}: {ink} px of ink in {text:?}",
                plot.name
            );
        }
    }
}

#[test]
fn the_labels_tell_the_levels_of_the_system() {
    // Lip and media surface from the invented measures: floor 0.95 m, depth
    // 0.35 m, lip at 0.643 and media at 0.857 of it.
    let system = sample::system(&Wish::default());
    let run = sample::run(&system);
    let assessment = sample::assessment(&system, &run);
    let wanted: [(&str, &[&str]); 5] = [
        (
            "levels",
            &[
                "lip 1.175 m",
                "media surface 1.250 m",
                "dry-layer limit 1.200 m",
                "breaks",
                "starts",
            ],
        ),
        (
            "sump",
            &[
                "spills over 0.532 m",
                "pump draws air below 0.110 m",
                "low bound",
                "high bound",
                "freeboard limit 0.482 m",
            ],
        ),
        (
            "flows",
            &[
                "Pump",
                "north: siphon and inflow",
                "full ",
                "half full ",
                "line, at most",
            ],
        ),
        (
            "pump",
            &[
                "pump curve",
                "duty, sump at its highest",
                "duty, sump at its lowest",
                "system curve",
            ],
        ),
        (
            "section",
            &[
                "ceiling 2.300 m",
                "rim 1.300 m",
                "siphon outlet 0.620 m",
                "line outlet, invert 0.550 m",
                "pump intake 0.050 m",
                "500 mm",
            ],
        ),
    ];
    let drawn = pages(&system, &run, &assessment, UnitSystem::Metric).unwrap();
    for ((name, sheet), (expected, words)) in drawn.iter().zip(wanted) {
        assert_eq!(*name, expected);
        let (boxes, _) = texts(&paint::svg(sheet).unwrap());
        for word in words {
            assert!(
                boxes.iter().any(|text| text.text.starts_with(word)),
                "{name}: {word}"
            );
        }
    }
}

#[test]
fn a_run_without_series_still_has_its_pictures() {
    let system = sample::system(&Wish::default());
    let run = simulate(&system, Sampling::None).unwrap();
    let assessment = sample::assessment(&system, &run);
    for (name, sheet) in pages(&system, &run, &assessment, UnitSystem::Metric).unwrap() {
        assert!(!texts(&paint::svg(&sheet).unwrap()).0.is_empty(), "{name}");
    }
}

#[test]
fn the_page_of_volumes_keeps_its_labels_apart_and_tells_the_levels() {
    use crate::study::absorb::absorb;
    let wanted = [
        "one bed",
        "four beds",
        "half barrels over a tote",
        "a high hall",
        "a table-top toy",
    ];
    let mut drawn = 0;
    for (what, wish) in wishes() {
        let long_names = what == "names and titles of any kind";
        if !(long_names || wanted.contains(&what)) {
            continue;
        }
        let system = sample::system(&Wish {
            hours: wish.hours.min(1.5),
            ..wish
        });
        let run = sample::run(&system);
        let found = absorb(&system, &run);
        for units in BOTH {
            let sheet = volume::draw(&system, &found, units);
            let (boxes, (width, height)) = texts(&paint::svg(&sheet).unwrap());
            for (i, a) in boxes.iter().enumerate() {
                assert!(a.size > 10.99, "{what}: small print {a:?}");
                assert!(
                    a.left >= 0.0 && a.right <= width && a.top >= 0.0 && a.bottom <= height,
                    "{what}, {units:?}: off the page {a:?}"
                );
                for b in &boxes[..i] {
                    assert!(!a.meets(b), "{what}, {units:?}: {a:?} over {b:?}");
                }
            }
            for words in [
                "upright: overflow",
                "on its side: freeboard from",
                "pump draws air below",
            ] {
                assert!(
                    boxes.iter().any(|text| text.text.starts_with(words)),
                    "{what}: {words}"
                );
            }
            drawn += 1;
        }
        if what == "one bed" {
            let [first, second] =
                [0, 1].map(|_| draw_volume(&system, &found, UnitSystem::Us).unwrap());
            assert!(first == second && first.name == "volume");
        }
    }
    assert_eq!(drawn, 12);
}
