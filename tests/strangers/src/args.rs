//! The command line.

use crate::fault::Fault;
use crate::house::Guest;
use crate::meter::Meter;
use std::path::PathBuf;

/// The arguments of the command line.
pub struct Args {
    pub list: bool,
    pub account: bool,
    pub samples: bool,
    pub kind: String,
    pub seed: u64,
    pub days: usize,
    pub healthy_days: usize,
    pub out: PathBuf,
    pub meter: Meter,
    pub fault: Option<String>,
    pub severity: Option<f64>,
    pub house: Vec<Guest>,
    /// For samples: which day, which cycle of it, how many minutes, amperes at full scale.
    pub day: usize,
    pub cycle: Option<usize>,
    pub minutes: f64,
    pub full_scale: f64,
}

/// How the program is called.
pub const USAGE: &str = "\
strangers --list
strangers --kind K --seed S --days N --out DIR [--meter M] [--fault F|mixed] [--severity 0..1]
          [--healthy-days H] [--house fridge,lamp] [--account]
strangers --samples --kind K --seed S --out DIR [--day D] [--cycle C] [--minutes 40]
          [--full-scale 20] [--fault F]";

impl Default for Args {
    fn default() -> Self {
        Args {
            list: false,
            account: false,
            samples: false,
            kind: String::new(),
            seed: 1,
            days: 1,
            healthy_days: 0,
            out: PathBuf::from("out"),
            meter: Meter::OneWatt,
            fault: None,
            severity: None,
            house: Vec::new(),
            day: 1,
            cycle: None,
            minutes: 40.0,
            full_scale: 20.0,
        }
    }
}

fn number<T: std::str::FromStr>(name: &str, value: &str) -> Result<T, String> {
    value.parse().map_err(|_| format!("{name}: {value} is not a number"))
}

impl Args {
    /// Read the words after the program's name.
    pub fn parse(words: &[String]) -> Result<Args, String> {
        let mut a = Args::default();
        let mut rest = words.iter();
        while let Some(word) = rest.next() {
            let flag = match word.as_str() {
                "--list" => &mut a.list,
                "--account" => &mut a.account,
                "--samples" => &mut a.samples,
                _ => {
                    let value = rest.next().ok_or(format!("{word} needs a value"))?;
                    a.set(word, value)?;
                    continue;
                }
            };
            *flag = true;
        }
        if !a.list && a.kind.is_empty() {
            return Err("which kind? try --list".into());
        }
        Ok(a)
    }

    fn set(&mut self, word: &str, value: &str) -> Result<(), String> {
        match word {
            "--kind" => self.kind = value.into(),
            "--seed" => self.seed = number(word, value)?,
            "--days" => self.days = number(word, value)?,
            "--healthy-days" => self.healthy_days = number(word, value)?,
            "--out" => self.out = value.into(),
            "--severity" => self.severity = Some(number(word, value)?),
            "--day" => self.day = number(word, value)?,
            "--cycle" => self.cycle = Some(number(word, value)?),
            "--minutes" => self.minutes = number(word, value)?,
            "--full-scale" => self.full_scale = number(word, value)?,
            "--meter" => {
                self.meter = Meter::named(value).ok_or(format!("no meter {value}"))?;
            }
            "--fault" => {
                if value != "mixed" && Fault::named(value).is_none() {
                    return Err(format!("no fault {value}"));
                }
                self.fault = Some(value.into());
            }
            "--house" => {
                for name in value.split(',') {
                    self.house.push(Guest::named(name).ok_or(format!("no guest {name}"))?);
                }
            }
            _ => return Err(format!("what is {word}?")),
        }
        Ok(())
    }
}
