//! A day of a meter as it lies in its file, read without any of the code under test.

use std::path::{Path, PathBuf};

use jiff::civil::DateTime;

/// One day of one machine.
#[derive(Clone)]
pub struct Day {
    /// Its file, as it is.
    pub path: PathBuf,
    /// Readings: seconds from the first, and watts.
    pub rows: Vec<(f64, f64)>,
}

/// All days of one machine, in the order of their dates.
pub struct Machine {
    /// The first part of its files' names.
    pub name: String,
    /// The days that were recorded of it.
    pub days: Vec<Day>,
}

/// The machines of a folder: files named `MACHINE_DATE.csv` with `time,watts`.
///
/// # Errors
/// A sentence with the file that cannot be read, and its line.
pub fn machines(folder: &Path) -> Result<Vec<Machine>, String> {
    let files = std::fs::read_dir(folder).map_err(|e| format!("cannot read {}: {e}", folder.display()))?;
    let mut paths: Vec<PathBuf> = files
        .filter_map(|f| Some(f.ok()?.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "csv"))
        .collect();
    paths.sort();
    let mut machines: Vec<Machine> = Vec::new();
    for path in paths {
        let name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let name = name.split('_').next().unwrap_or_default().to_owned();
        let day = Day::read(path)?;
        match machines.last_mut().filter(|m| m.name == name) {
            Some(machine) => machine.days.push(day),
            None => machines.push(Machine { name, days: vec![day] }),
        }
    }
    Ok(machines)
}

impl Day {
    fn read(path: PathBuf) -> Result<Self, String> {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(&path).map_err(|e| format!("cannot read {name}: {e}"))?;
        let wrong = |line: usize| format!("{name}, line {}: not a time and watts", line + 1);
        let mut rows = Vec::new();
        let mut first = None;
        for (n, line) in text.lines().enumerate().skip(1) {
            let (time, watts) = line.split_once(',').ok_or_else(|| wrong(n))?;
            let time: DateTime = time.parse().map_err(|_| wrong(n))?;
            let since = time.duration_since(*first.get_or_insert(time)).as_secs_f64();
            rows.push((since, watts.parse().map_err(|_| wrong(n))?));
        }
        Ok(Self { path, rows })
    }

    /// The median time between two readings.
    #[must_use]
    pub fn resolution(&self) -> f64 {
        let mut between: Vec<f64> = self.rows.windows(2).map(|w| w[1].0 - w[0].0).collect();
        between.sort_by(f64::total_cmp);
        between.get(between.len() / 2).copied().unwrap_or(1.0)
    }
}

/// Readings as a CSV whose times are seconds.
#[must_use]
pub fn csv(rows: &[(f64, f64)]) -> String {
    let mut text = String::from("time,watts\n");
    for (time, watts) in rows {
        text.push_str(&format!("{time:.0},{watts:.1}\n"));
    }
    text
}
