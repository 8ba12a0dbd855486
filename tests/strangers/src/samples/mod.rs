//! Samples of one cycle: a WAV file of four channels at 4,800 samples a second.
//!
//! Channel 1 is the current by a clamp, 2 a pickup on the supply line, 3 a pickup on the drain
//! hose, 4 a constant of half scale.

mod current;
mod sound;
mod wav;

use crate::args::Args;
use crate::clock::iso;
use crate::day::{Placed, Record};
use crate::frame::Frame;
use crate::machine::Machine;
use crate::output;
use crate::rng::Rng;
use crate::truth;
use current::Current;
use sound::Pickup;
use std::fs;
use std::io;
use std::path::PathBuf;
use wav::Wav;

/// Samples in a second, and in a tick.
pub const RATE: u32 = 4800;
const PER_TICK: usize = 480;

/// Ticks of quiet before a cycle.
const BEFORE: usize = 50;

/// Days that are searched for a cycle of the wished length.
const DAYS: usize = 6;

/// The cycle to take: the one asked for, or of some days the one nearest to the wished minutes,
/// with the fault if a fault is wished.
fn choose(args: &Args, m: &Machine) -> io::Result<(i64, Record, usize)> {
    let mut best: Option<(f64, i64, Record, usize)> = None;
    let wish = Args {
        days: if args.cycle.is_some() { args.day } else { args.day + DAYS - 1 },
        seed: args.seed,
        kind: args.kind.clone(),
        fault: args.fault.clone(),
        severity: args.severity,
        healthy_days: args.healthy_days,
        ..Args::default()
    };
    output::days(&wish, m, |n, date, record| {
        let mut near: Option<(f64, usize)> = None;
        for (c, p) in record.cycles.iter().enumerate() {
            let minutes = p.cycle.end as f64 / 600.0;
            let mut far = (minutes - args.minutes).abs();
            if args.fault.is_some() && p.cycle.fault.is_none() {
                far += 1000.0;
            }
            let asked = args.cycle.is_none_or(|want| want == c + 1) && n >= args.day;
            if asked && near.is_none_or(|(d, _)| far < d) {
                near = Some((far, c));
            }
        }
        if let Some((far, c)) = near
            && best.as_ref().is_none_or(|b| far < b.0)
        {
            best = Some((far, date, record, c));
        }
        Ok(())
    })?;
    let (_, date, record, c) = best.ok_or_else(|| io::Error::other("no such cycle"))?;
    Ok((date, record, c))
}

/// The files of a cycle, and what must be known of them.
pub struct Written {
    /// The samples, and the truth of their cycle.
    pub wav: PathBuf,
    pub truth: PathBuf,
    /// The time of the first sample, as in the truth.
    pub start: String,
    /// How long the samples last.
    pub seconds: f64,
    /// The same and more in words.
    pub about: String,
}

/// Write the samples of a cycle with their truth and their scale.
pub fn write(args: &Args, m: &Machine) -> io::Result<Written> {
    fs::create_dir_all(&args.out)?;
    let (date, mut record, chosen) = choose(args, m)?;
    let placed = record.cycles.remove(chosen);
    let limit = (args.minutes * 600.0) as usize;
    let mut long = placed.cycle.frames.len();
    if long as f64 > 1.3 * limit as f64 {
        long = limit;
    }
    let ticks = BEFORE + long;
    let start = placed.start.saturating_sub(BEFORE);
    let wav = args.out.join("cycle.wav");
    let mut file = Wav::create(&wav, RATE, 4, (ticks * PER_TICK) as u32)?;
    render(args, m, &placed, ticks, &mut file)?;
    file.finish()?;
    record.cycles = vec![placed];
    let mut lines = truth::lines(date, &record, &[]);
    lines.push(String::new());
    let truth = args.out.join("cycle.truth.jsonl");
    fs::write(&truth, lines.join("\n"))?;
    let about = format!(
        "start {}\nend {}\nsamples a second {RATE}\nchannels current, supply line, drain hose, constant\n\
         current: 1.0 is {} A (peak)\nconstant: 0.5\nvolts {} hertz {}\nkind {} seed {}\n",
        iso(date, start),
        iso(date, start + ticks),
        args.full_scale,
        m.volts,
        m.hertz,
        m.kind,
        args.seed,
    );
    fs::write(args.out.join("cycle.txt"), &about)?;
    Ok(Written { wav, truth, start: iso(date, start), seconds: ticks as f64 / 10.0, about })
}

fn render(args: &Args, m: &Machine, p: &Placed, ticks: usize, out: &mut Wav) -> io::Result<()> {
    let rate = f64::from(RATE);
    let stream = |what: &str| Rng::stream(args.seed, what, 2, 0);
    let mut current = Current::new(m, stream("current"));
    let mut supply = Pickup::supply(m, rate, stream("supply"));
    let mut drain = Pickup::drain(m, rate, stream("drain"));
    let mut r = stream("clamp");
    let (gain, offset, noise) = (r.about(1.0, 0.01), r.range(-0.01, 0.01), r.range(0.002, 0.008));
    let quiet = Frame::default();
    for tick in 0..ticks {
        let f = if tick < BEFORE { &quiet } else { &p.cycle.frames[tick - BEFORE] };
        let inflow = f64::from(f.inflow) / m.valve.litres_per_minute;
        let outflow = f64::from(f.outflow) / m.drain.litres_per_minute;
        for _ in 0..PER_TICK {
            let amperes = current.sample(&f.watts, rate);
            let clamp = amperes * gain + offset + r.normal(0.0, noise);
            let a = current.angle();
            let heard = supply.sample(f, m, a, inflow, 0.0);
            let drained = drain.sample(f, m, a, outflow, f64::from(f.air));
            out.frame(&[clamp / args.full_scale, heard, drained, 0.5])?;
        }
    }
    Ok(())
}
