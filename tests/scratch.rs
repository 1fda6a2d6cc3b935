use ebbwright::simulation::*;
#[test] fn t() {
  for f in std::fs::read_dir("scenarios").unwrap() { let p=f.unwrap().path();
    match ebbwright::scenario::read(&p) { Err(e)=>println!("{}", e.render(false)), Ok(s)=>{ for w in &s.warnings {println!("warning {w:?}");}
      match simulate(&s.system, Sampling::None) { Err(e)=>println!("{p:?} {e}"), Ok(r)=>{ println!("== {p:?} {:?} sump {:.3}..{:.3} dry {:.0} over {:.4} pump {:.2} L/min head {:?} line {:?} work {:?}", r.ended, r.sump.level.min, r.sump.level.max, r.sump.ran_dry, r.sump.overflowed, r.pump.flow.mean*6e4, r.pump.head.map(|h| h.mean), r.line, r.work);
        for (b,o) in s.system.beds.iter().zip(&r.beds) { println!("   {} {:?} cycles {} inflow {:.2}..{:.2} peak {:.4} (dry {:.3}) break {:.4} last {:?} full {:?} {:?}", b.name, o.regime, o.cycles.len(), o.inflow.min*6e4, o.inflow.max*6e4, o.peak_level, b.media_surface()-o.peak_level, o.break_level, o.cycles.last().map(|c| (c.fill/60.,c.prime,c.drain/60.)), o.siphon_flow_at_start.map(|q| q*6e4), o.siphon_flow_at_break.map(|q| q*6e4));}
      }}}}}
}
