//! `cargo bench -p tubtrace-tests`: every stage of the flow, and the whole job, with throughput. The log is twelve hours of a
//! machine that washes four times, or a multiple of it.

use std::hint::black_box;
use std::sync::LazyLock;

use divan::counter::{BytesCount, ItemsCount};
use divan::{Bencher, main as run};
use tubtrace::chart::Machine;
use tubtrace::findings::{Surroundings, judge};
use tubtrace::intervals::cycles as cycles_of;
use tubtrace::loads::{ScaledTrace, infer};
use tubtrace::log::{Assumptions, parse};
use tubtrace::report::{Subject, timeline_json};
use tubtrace_core::metering::{Calibration, measure};
use tubtrace_protocol::{Mains, Reader, Tick};
use tubtrace_simulator::board::samples;
use tubtrace_tests::live;
use tubtrace_tests::whole::{chart, findings, findings_of, night, page_of};

fn main() {
    run();
}

static NIGHT: LazyLock<tubtrace_tests::Worked> = LazyLock::new(|| live(&night(4)));

static CHART: LazyLock<Machine> = LazyLock::new(|| chart(&NIGHT.cycles, NIGHT.log.trace.resolution));

fn windows() -> ItemsCount {
    ItemsCount::new((NIGHT.log.trace.duration().0 * f64::from(Tick::PER_SECOND)) as usize)
}

fn bytes() -> BytesCount {
    BytesCount::new(NIGHT.recording.log.len())
}

#[divan::bench]
fn metering_a_window(bencher: Bencher) {
    let blocks: Vec<_> = samples(&night(1), 10).iter().flat_map(|s| s.blocks).collect();
    let mut next = blocks.iter().cycle();
    bencher
        .counter(ItemsCount::new(1usize))
        .bench_local(|| measure(next.next().expect("it goes round"), Mains::Hz60, Calibration::NOMINAL));
}

#[divan::bench]
fn frames(bencher: Bencher) {
    bencher.counter(bytes()).counter(windows()).bench(|| {
        let (mut reader, mut items) = (Reader::default(), 0);
        reader.push(&NIGHT.recording.log, |item| {
            black_box(&item);
            items += 1;
        });
        items
    });
}

#[divan::bench]
fn log(bencher: Bencher) {
    bencher.counter(bytes()).counter(windows()).bench(|| parse(&NIGHT.recording.log, Assumptions::default()));
}

#[divan::bench]
fn loads(bencher: Bencher) {
    bencher.counter(windows()).bench(|| infer(&ScaledTrace::of(&NIGHT.log.trace)));
}

#[divan::bench]
fn intervals(bencher: Bencher) {
    let scaled = ScaledTrace::of(&NIGHT.log.trace);
    let found = infer(&scaled);
    bencher.counter(windows()).bench(|| cycles_of(&scaled, &found));
}

#[divan::bench]
fn alignment_and_findings(bencher: Bencher) {
    let surroundings = Surroundings::of(&NIGHT.log.trace, &NIGHT.cycles);
    bencher
        .counter(ItemsCount::new(NIGHT.cycles.len()))
        .bench(|| findings(&NIGHT.cycles, surroundings, &CHART));
}

#[divan::bench]
fn report(bencher: Bencher) {
    let subject = Subject::of(&NIGHT.log, &NIGHT.cycles);
    bencher.bench(|| timeline_json(subject));
}

#[divan::bench]
fn page(bencher: Bencher) {
    bencher.bench(|| page_of(&NIGHT.log, &NIGHT.cycles, &CHART));
}

/// Growth with the length of the log: hours of it, three for each run.
#[divan::bench(args = [1, 2, 4, 8, 16], sample_count = 10)]
fn whole_job_by_runs(bencher: Bencher, runs: usize) {
    let recording = live(&night(runs)).recording;
    LazyLock::force(&CHART);
    bencher.counter(BytesCount::new(recording.log.len())).bench(|| findings_of(&recording.log, &CHART));
}

/// A thousand cycles held against a chart, on both cores.
#[divan::bench(sample_count = 5)]
fn a_thousand_cycles(bencher: Bencher) {
    let surroundings = Surroundings::of(&NIGHT.log.trace, &NIGHT.cycles);
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    bencher.counter(ItemsCount::new(1_000usize)).bench(|| {
        std::thread::scope(|scope| {
            let share =
                |core: usize| (core..1_000).step_by(cores).map(|i| &NIGHT.cycles[i % NIGHT.cycles.len()]);
            let work = move |core: usize| {
                share(core).map(|c| judge(&CHART, c, surroundings).findings.len()).sum::<usize>()
            };
            let all: Vec<_> = (0..cores).map(|core| scope.spawn(move || work(core))).collect();
            all.into_iter().map(|t| t.join().expect("nothing panics")).sum::<usize>()
        })
    });
}
