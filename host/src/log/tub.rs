//! `.tub` logs: frames into traces, of which one file may hold several.

use tubtrace_protocol::{Item, Record};

use super::assumptions::Assumptions;
use super::contents::Log;
use super::frames::{Found, read};
use super::join::join;
use super::records::Records;

/// Reads all logs that stand one after the other in `bytes`, as one.
///
/// # Errors
/// A sentence, where none of them holds anything.
pub(super) fn parse(bytes: &[u8], assumptions: Assumptions) -> Result<Log, String> {
    let mut logs = vec![Records::default()];
    let mut take = |found: Found| {
        let last = logs.len() - 1;
        if let Found::Item(Item::Record(Record::Opened(opened))) = &found
            && logs[last].is_another(opened)
        {
            logs.push(Records::default());
        }
        if let Some(log) = logs.last_mut() {
            match found {
                Found::Item(item) => log.take(item),
                Found::Hole { at } => log.hole(at),
            }
        }
    };
    read(bytes, &mut take);
    let mut usable: Option<Log> = None;
    let mut why = None;
    for contents in logs {
        match contents.into_log(assumptions) {
            Ok(log) => {
                usable = Some(match usable.take() {
                    Some(first) => join(first, log),
                    None => log,
                });
            }
            Err(what) => why = Some(what),
        }
    }
    usable.ok_or_else(|| why.unwrap_or_default())
}
