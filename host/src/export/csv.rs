//! CSV as RFC 4180 has it: lines end with CR LF, what needs quotes has them, a header first.

use ::csv::{Terminator, WriterBuilder};

use super::table::{Table, Values, number};

/// The table as CSV, block after block. A column that follows from another one is left out, so that the file reads back as what was measured.
///
/// # Errors
/// When it cannot be written.
pub fn to_csv(blocks: impl IntoIterator<Item = Table>, out: impl std::io::Write) -> std::io::Result<()> {
    let mut writer = WriterBuilder::new().terminator(Terminator::CRLF).from_writer(out);
    for (n, table) in blocks.into_iter().enumerate() {
        let columns: Vec<_> = table.columns.iter().filter(|c| !c.derived).collect();
        if n == 0 {
            writer.write_record(columns.iter().map(|c| c.name))?;
        }
        for row in 0..table.rows() {
            writer.write_record(columns.iter().map(|c| field(&table, &c.values, row)))?;
        }
    }
    writer.flush()
}

fn field(table: &Table, values: &Values, row: usize) -> String {
    match values {
        Values::Moment(v) => table.moment(v[row]),
        Values::Number(v) => v[row].map(number).unwrap_or_default(),
        Values::Count(v) => v[row].to_string(),
        Values::Word(v) => v[row].to_owned(),
        Values::Loads(v) => v[row].to_string(),
        Values::Flag(v) => v[row].map(|on| on.to_string()).unwrap_or_default(),
    }
}
