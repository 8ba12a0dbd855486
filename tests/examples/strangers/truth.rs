//! What really happened on a day, from the file beside its recording.

use std::path::Path;

use serde_json::Value;

/// The loads that are compared: all others are too small for most meters, or have no name in the program.
pub const COMPARED: [&str; 4] = ["heater", "wash-pump", "drain-pump", "fill-valve"];

/// A cycle. All times are in seconds from the recording's first reading.
pub struct Cycle {
    pub start: f64,
    /// When the last load but the control went off.
    pub end: f64,
    /// The programme that was chosen.
    pub programme: String,
    /// A fault that changed something in it.
    pub fault: Option<String>,
}

/// A day.
pub struct Truth {
    pub cycles: Vec<Cycle>,
    /// Load as its place in [`COMPARED`], from, to.
    pub loads: Vec<(usize, f64, f64)>,
}

/// The truth beside a recording.
pub fn read(day: &Path) -> Result<Truth, String> {
    let text = |path: &Path| std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()));
    let recording = text(day)?;
    let first = recording.lines().nth(1).and_then(|l| l.split(',').next()).unwrap_or_default();
    let origin = seconds(first, &first[..first.len().min(10)]);
    let mut truth = Truth { cycles: Vec::new(), loads: Vec::new() };
    for line in text(&day.with_extension("truth.jsonl"))?.lines().filter(|l| !l.is_empty()) {
        let told: Value = serde_json::from_str(line).map_err(|e| format!("{}: {e}", day.display()))?;
        let at = |field: &str| {
            seconds(told[field].as_str().unwrap_or_default(), &first[..first.len().min(10)]) - origin
        };
        if told["type"] == "cycle" {
            let fault = told["fault"].as_str().map(str::to_owned);
            let programme = told["programme"].as_str().unwrap_or_default().to_owned();
            truth.cycles.push(Cycle { start: at("start"), end: at("last_load_off"), programme, fault });
        } else if let Some(load) = COMPARED.iter().position(|l| told["kind"] == **l) {
            truth.loads.push((load, at("start"), at("end")));
        }
    }
    Ok(truth)
}

/// Seconds from the midnight of `date`; a recording ends at the next.
fn seconds(time: &str, date: &str) -> f64 {
    let (day, clock) = time.split_once('T').unwrap_or((date, "0:0:0"));
    let of_day = clock.split(':').fold(0.0, |sum, part| sum * 60.0 + part.parse::<f64>().unwrap_or(0.0));
    of_day + if day == date { 0.0 } else { 86_400.0 }
}
