//! The truth of a day as lines of JSON.

use crate::clock::iso;
use crate::day::{Placed, Record};
use crate::frame::{ALL, Frame, Load};
use crate::house::Visit;

/// One time for which a load drew power, in ticks from the beginning of its cycle.
#[derive(Clone, Debug, PartialEq)]
pub struct Interval {
    pub load: Load,
    pub from: usize,
    pub to: usize,
    /// Mean and greatest watts.
    pub watts: f64,
    pub peak: f64,
}

/// The intervals of every load of a cycle.
pub fn intervals(frames: &[Frame]) -> Vec<Interval> {
    let mut out = Vec::new();
    for load in ALL {
        let mut begun: Option<usize> = None;
        for n in 0..=frames.len() {
            let on = n < frames.len() && frames[n].watts[load as usize] > 0.05;
            match (begun, on) {
                (None, true) => begun = Some(n),
                (Some(from), false) => {
                    let all = frames[from..n].iter().map(|f| f64::from(f.watts[load as usize]));
                    let peak = all.clone().fold(0.0, f64::max);
                    let watts = all.sum::<f64>() / (n - from) as f64;
                    out.push(Interval { load, from, to: n, watts, peak });
                    begun = None;
                }
                _ => {}
            }
        }
    }
    out.sort_by_key(|i| i.from);
    out
}

fn text(words: Option<&str>) -> String {
    words.map_or("null".into(), |w| format!("\"{w}\""))
}

fn cycle_line(day: i64, p: &Placed) -> String {
    let c = &p.cycle;
    let events: Vec<String> = c.events.iter().map(|e| format!("\"{e}\"")).collect();
    let set = p.set.map(|t| iso(day, t));
    format!(
        concat!(
            "{{\"type\":\"cycle\",\"programme\":\"{}\",\"start\":\"{}\",\"end\":\"{}\",",
            "\"fault\":{},\"latent_fault\":{},\"severity\":{:.2},\"how\":\"{}\",",
            "\"last_load_off\":\"{}\",\"set\":{},\"events\":[{}],\"litres_in\":{:.2},\"litres_out\":{:.2}}}"
        ),
        c.programme,
        iso(day, p.start),
        iso(day, p.start + c.end),
        text(c.fault.map(|f| f.name())),
        text(c.latent.map(|f| f.name())),
        c.severity,
        c.how,
        iso(day, p.start + c.busy + 1),
        text(set.as_deref()),
        events.join(","),
        c.plant.taken,
        c.plant.given,
    )
}

/// One line of an interval.
fn line(day: i64, words: (&str, &str), span: (usize, usize), watts: (f64, f64)) -> String {
    format!(
        concat!(
            "{{\"type\":\"interval\",\"kind\":\"{}\",\"name\":\"{}\",\"start\":\"{}\",",
            "\"end\":\"{}\",\"watts\":{:.1},\"peak\":{:.1}}}"
        ),
        words.0,
        words.1,
        iso(day, span.0),
        iso(day, span.1),
        watts.0,
        watts.1,
    )
}

/// All lines of a day: the cycles first, then the intervals by time.
pub fn lines(day: i64, record: &Record, visits: &[Visit]) -> Vec<String> {
    let mut out: Vec<String> = record.cycles.iter().map(|p| cycle_line(day, p)).collect();
    let mut timed: Vec<(usize, String)> = Vec::new();
    for p in &record.cycles {
        for i in intervals(&p.cycle.frames) {
            let span = (p.start + i.from, p.start + i.to);
            timed.push((span.0, line(day, i.load.words(), span, (i.watts, i.peak))));
        }
    }
    for s in record.idle.iter().filter(|s| s.watts > 0.05) {
        let text = line(day, ("other", s.name), (s.from, s.to), (s.watts, s.watts));
        timed.push((s.from, text));
    }
    for v in visits {
        let text = line(day, ("house", v.name), (v.from, v.to), (v.watts, v.watts));
        timed.push((v.from, text));
    }
    timed.sort_by_key(|t| t.0);
    out.extend(timed.into_iter().map(|t| t.1));
    out
}
