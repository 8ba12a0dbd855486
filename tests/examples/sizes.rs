//! `cargo xtask sizes [FOLDER]`: what an hour of washing and an hour of idling cost in the log, beside the same windows as CSV. With
//! a folder, writes the windows there, for `tests/references/sizes.py` to press and to store as Parquet.

use std::fmt::Write;
use std::path::PathBuf;

use tubtrace_core::metering::Calibration;
use tubtrace_core::{Arming, Full, Logger};
use tubtrace_protocol::{CloseReason, MAX_FRAME, OpenReason, Record, Tick, Window, encode};
use tubtrace_simulator::board::{Second, samples};
use tubtrace_simulator::machine::Appliance;
use tubtrace_simulator::scenario::Night;
use tubtrace_units::Seconds;

const HOUR: usize = 3_600;

fn main() {
    let folder = std::env::args().nth(1).map(PathBuf::from);
    println!("{:10} {:>12} {:>12} {:>14}", "an hour of", "log, bytes", "CSV, bytes", "records");
    for (name, appliance) in [("120 V", Appliance::on_120_volts()), ("230 V", Appliance::on_230_volts())] {
        let mut night = Night::healthy(5, appliance, 1);
        night.plans[0].idle = Seconds(HOUR as f64);
        let lived = samples(&night, 2 * HOUR);
        for (what, hour) in [("idling", &lived[..HOUR]), ("washing", &lived[HOUR..])] {
            let (log, windows) = record(hour);
            let csv = as_csv(&windows);
            let bytes: usize = log.iter().map(Vec::len).sum();
            println!("{:10} {bytes:12} {:12} {:14}", format!("{what}, {name}"), csv.len(), log.len());
            if let Some(folder) = &folder {
                std::fs::create_dir_all(folder).expect("the folder can be made");
                let stem = format!("{what}-{}", &name[..3]);
                std::fs::write(folder.join(format!("{stem}.csv")), csv).expect("the folder can be written");
                std::fs::write(folder.join(format!("{stem}.tub")), log.concat()).expect("likewise");
            }
        }
    }
}

/// The frames that the logger makes of an hour, and the windows as they were metered.
fn record(hour: &[Second]) -> (Vec<Vec<u8>>, Vec<Window>) {
    let (mut frames, mut windows) = (Vec::new(), Vec::new());
    let mut keep = |record: Record| {
        let mut buffer = [0; MAX_FRAME];
        frames.push(encode(&record, &mut buffer).expect("every record fits").to_vec());
    };
    let arming =
        Arming { logger: 1, calibration: Calibration::NOMINAL, full: Full::Stop, label: Default::default() };
    let mut logger = Logger::open(arming, Tick(0), OpenReason::Armed, &mut keep);
    for second in hour {
        logger.temperatures(second.thermistors, &mut keep);
        for block in &second.blocks {
            windows.push(logger.window(block, &mut keep));
        }
    }
    logger.close(CloseReason::Stopped, &mut keep);
    (frames, windows)
}

fn as_csv(windows: &[Window]) -> String {
    let mut csv = String::from("tick,rms,peak,fundamental,second,third,supply,drain\n");
    for (tick, w) in windows.iter().enumerate() {
        let Window { rms, peak, fundamental, second, third, supply, drain } = w;
        let _ = writeln!(csv, "{tick},{rms},{peak},{fundamental},{second},{third},{supply},{drain}");
    }
    csv
}
