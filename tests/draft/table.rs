//! How often a draft from random facts passes: `cargo test --release --test draft -- --ignored
//! --nocapture new_table`.

use ebbwright::study::draft::Facts;

#[test]
#[ignore = "minutes; prints the table of DEVELOPERS.md"]
fn new_table() {
    for (who, of) in [
        ("without fish", super::facts::drawn as fn(u64) -> Facts),
        ("with a fish tank", super::facts::drawn_with_fish),
    ] {
        let seeds = 1000..1300_u64;
        let all = seeds.clone().count();
        let failed = seeds.filter_map(|seed| super::drafted(seed, of).err());
        let failed: Vec<String> = failed.collect();
        println!("{who}: {} of {all} pass", all - failed.len());
        for one in &failed {
            println!("{one}");
        }
        assert!(20 * failed.len() <= all);
    }
}
