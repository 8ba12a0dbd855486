//! The screen of a live view: measured values as strips, and below them the intervals and loads inferred from them so far.

use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Color, Modifier, Style, Stylize};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Block, Borders, Paragraph, Sparkline};
use tubtrace_protocol::Live;
use tubtrace_units::{Celsius, Load, Seconds};

use super::estimate::Estimate;
use crate::intervals::Kind;
use crate::report::{Units, clock_time, lasts, letter};
use crate::trace::{Detail, Noise, Temperature, Trace};

/// Everything that is on the screen.
#[derive(Clone, Copy, Debug)]
pub struct Screen<'a> {
    /// What the logger says of itself, in a line.
    pub logger: &'a str,
    /// The window that came last.
    pub latest: Option<&'a Live>,
    /// What the machine is taken to do, once a log can be made of what came.
    pub estimate: Option<&'a Estimate>,
    /// How much time the strips show, up to now.
    pub span: Seconds,
    /// How many windows never came.
    pub missed: u32,
    /// For how long nothing has come, where that is longer than usual.
    pub silent: Option<Seconds>,
    /// The units in which people read temperatures.
    pub units: Units,
}

/// A strip's height in the units of its bars: thousandths.
const HEIGHT: f64 = 1_000.0;

/// Full height of the strip of current, at least, in amperes: noise alone is not blown up to fill it.
const LEAST_AMPS: f64 = 0.5;
/// The same of the strips of the pickups, as flow noise.
const LEAST_NOISE: f64 = 20.0;

/// Draws the whole screen into a frame of the terminal.
pub fn draw(frame: &mut Frame, screen: Screen) {
    let rows = Layout::vertical([
        Constraint::Length(1),
        Constraint::Length(2),
        Constraint::Min(4),
        Constraint::Length(2),
        Constraint::Length(3),
        Constraint::Length(3),
        Constraint::Length(3),
        Constraint::Length(1),
        Constraint::Length(2),
    ]);
    let [logger, now, current, does, supply, drain, clips, loads, foot] = rows.areas(frame.area());
    frame.render_widget(Paragraph::new(screen.logger.to_owned()).dim(), logger);
    frame.render_widget(Paragraph::new(doing(screen)), now);
    let amps =
        screen.latest.map_or_else(|| "-".into(), |l| format!("{:.2} A", f64::from(l.window.rms) / 1_000.0));
    strip(frame, current, screen, &format!("current {amps}"), LEAST_AMPS, |t, a, b| {
        t.between(a, b).map(|s| t.amps(s.power).0).reduce(f64::max)
    });
    frame.render_widget(Paragraph::new(intervals(screen, does.width)), does);
    let heard = |window: fn(&Live) -> u16| {
        screen.latest.map_or_else(|| "-".into(), |l| format!("{:.0}", f64::from(window(l)) / 16.0))
    };
    let level = |t: &Trace, a, b, of: fn(Detail) -> Noise| {
        t.between(a, b).filter_map(|s| Some(of(s.detail?).0)).reduce(f64::max)
    };
    let title = format!("supply pickup, flow noise {}", heard(|l| l.window.supply));
    strip(frame, supply, screen, &title, LEAST_NOISE, |t, a, b| level(t, a, b, |d| d.supply));
    let title = format!("drain pickup, flow noise {}", heard(|l| l.window.drain));
    strip(frame, drain, screen, &title, LEAST_NOISE, |t, a, b| level(t, a, b, |d| d.drain));
    temperatures(frame, clips, screen);
    frame.render_widget(Paragraph::new(lanes(screen)), loads);
    frame.render_widget(Paragraph::new(footer(screen)), foot);
}

/// The line that says what the machine is taken to do now, and for how long it has.
fn doing(screen: Screen) -> Vec<Line<'static>> {
    if let Some(silent) = screen.silent {
        let told = format!("No window for {:.0} s: is the cable in? Waiting for it.", silent.0);
        return vec![Line::from(told).yellow().bold()];
    }
    let Some(b) = screen.estimate else { return vec![Line::from("Waiting for the first windows.")] };
    let for_how_long = lasts(b.trace.duration() - b.since);
    match b.does {
        None if b.cycles.is_empty() => {
            let told = "Nothing recognised yet: what a load draws is learned as it runs.";
            vec![Line::from(told)]
        }
        None => vec![Line::from(format!("Idle for {for_how_long}."))],
        Some(kind) => {
            let doubt = if b.certainty < crate::checks::constants::PLAIN_FROM.get() {
                format!(", perhaps ({:.0} %)", 100.0 * b.certainty)
            } else {
                String::new()
            };
            let word = Span::styled(
                format!(" {kind} "),
                look(kind).add_modifier(Modifier::REVERSED | Modifier::BOLD),
            );
            let cycle = b.cycles.last().map_or(Seconds(0.0), |c| b.trace.duration() - c.start());
            vec![Line::from(vec![
                word,
                format!(" for {for_how_long}{doubt}; the cycle for {}", lasts(cycle)).into(),
            ])]
        }
    }
}

/// A strip over time. Each column shows the greatest value within it, drawn by its square root, so that small loads are seen beside the
/// heater.
fn strip(
    frame: &mut Frame,
    area: Rect,
    screen: Screen,
    title: &str,
    least: f64,
    of: impl Fn(&Trace, Seconds, Seconds) -> Option<f64>,
) {
    let values: Vec<Option<f64>> = screen
        .estimate
        .map(|b| columns(b, screen.span, area.width).map(|(from, to)| of(&b.trace, from, to)).collect())
        .unwrap_or_default();
    let most = values.iter().flatten().copied().fold(least, f64::max);
    let height = |v: f64| ((v / most).max(0.0).sqrt() * HEIGHT) as u64;
    let data: Vec<Option<u64>> = values.iter().map(|v| v.map(height)).collect();
    let block = Block::new().borders(Borders::TOP).title(format!(" {title}, at most {} ", round(most))).dim();
    let inner = block.inner(area);
    frame.render_widget(block, area);
    let bars = Sparkline::default().data(data).max(HEIGHT as u64).absent_value_symbol(" ").style(Color::Cyan);
    frame.render_widget(bars, inner);
}

fn round(value: f64) -> String {
    if value < 10.0 { format!("{value:.1}") } else { format!("{value:.0}") }
}

/// Begin and end of the time that each column shows; the last column ends now.
fn columns(b: &Estimate, span: Seconds, width: u16) -> impl Iterator<Item = (Seconds, Seconds)> {
    let (now, each) = (b.trace.duration(), span / f64::from(width.max(1)));
    (0..width).map(move |i| {
        let to = now - each * f64::from(width - 1 - i);
        (to - each, to)
    })
}

/// Two lines: a letter in each column for what the machine did, and below it a mark where the button was pressed.
fn intervals(screen: Screen, width: u16) -> Vec<Line<'static>> {
    let Some(b) = screen.estimate else { return Vec::new() };
    let (mut did, mut marks) = (Vec::new(), String::new());
    for (from, to) in columns(b, screen.span, width) {
        let within = b.cycles.iter().flat_map(|c| &c.intervals).filter(|i| i.start < to && i.end > from);
        // What is short must not be lost in a column.
        let shortest = within.min_by(|x, y| x.duration().total_cmp(&y.duration()));
        did.push(shortest.map_or(Span::raw(" "), |i| Span::styled(letter(i.kind).to_string(), look(i.kind))));
        let marked = b.trace.marks.iter().any(|m| *m > from && *m <= to);
        marks.push(if marked { '^' } else { ' ' });
    }
    vec![Line::from(did), Line::from(marks).bold()]
}

fn temperatures(frame: &mut Frame, area: Rect, screen: Screen) {
    let reading = |i: usize| {
        let clip = screen.latest.and_then(|l| l.clips[i]).map(|c| Celsius(f64::from(c) / 100.0));
        clip.map_or_else(|| "no reading".into(), |c| screen.units.temperature(c, 1))
    };
    let title = format!(" clips: supply {}, drain {} ", reading(0), reading(1));
    let block = Block::new().borders(Borders::TOP).title(title).dim();
    let [supply, drain] = Layout::vertical([Constraint::Length(1); 2]).areas(block.inner(area));
    frame.render_widget(block, area);
    let Some(b) = screen.estimate else { return };
    let all = b.trace.temperatures.iter().flat_map(|t| [t.supply, t.drain]).flatten();
    let (low, high) = all.fold((f64::MAX, f64::MIN), |(l, h), c| (l.min(c.0), h.max(c.0)));
    let height = |c: Celsius| 1 + ((c.0 - low) / (high - low).max(5.0) * (HEIGHT - 1.0)) as u64;
    for (row, of) in [(supply, (|t| t.supply) as fn(&Temperature) -> Option<Celsius>), (drain, |t| t.drain)] {
        let data = columns(b, screen.span, row.width).map(|(_, to)| {
            let at = b.trace.temperatures.partition_point(|t| t.end < to);
            b.trace
                .temperatures
                .get(at.min(b.trace.temperatures.len().saturating_sub(1)))
                .filter(|t| t.start <= to)
                .and_then(of)
                .map(height)
        });
        let bars =
            Sparkline::default().data(data.collect::<Vec<_>>()).max(HEIGHT as u64).absent_value_symbol(" ");
        frame.render_widget(bars.style(Color::Red), row);
    }
}

/// The names of all loads; those that run are in brackets and reversed.
fn lanes(screen: Screen) -> Line<'static> {
    let runs = screen.estimate.map(|b| b.loads).unwrap_or_default();
    let mut line = vec![Span::raw("loads  ")];
    for load in Load::ALL {
        if runs.has(load) {
            line.push(Span::styled(format!("[{load}]"), Style::new().bold().reversed()));
        } else {
            line.push(Span::raw(format!(" {load} ")).dim());
        }
    }
    Line::from(line)
}

fn footer(screen: Screen) -> Vec<Line<'static>> {
    let now = screen
        .estimate
        .map_or_else(String::new, |b| format!("{}  ", clock_time(&b.trace, b.trace.duration())));
    let missed =
        if screen.missed > 0 { format!(", {} windows not seen", screen.missed) } else { String::new() };
    let span = lasts(screen.span);
    vec![
        Line::from(format!("{now}the last {span}{missed}    + - more or less time, q ends")),
        Line::from(
            "With the clamp on, watch from a computer on its battery: a mains-powered one defeats the isolation.",
        )
        .dim(),
    ]
}

const fn look(kind: Kind) -> Style {
    Style::new().fg(match kind {
        Kind::Fill => Color::Blue,
        Kind::Wash => Color::Cyan,
        Kind::Heat => Color::Red,
        Kind::Purge => Color::Magenta,
        Kind::Drain => Color::Green,
        Kind::Dry | Kind::Stall | Kind::Gap => Color::Yellow,
        Kind::Pause => Color::Reset,
    })
}
