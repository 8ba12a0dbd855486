//! JSON Lines: an object on each line, in UTF-8.

use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::{Value, json};

use super::table::{Table, Values, rounded};

/// The table as JSON Lines, block after block.
///
/// # Errors
/// When it cannot be written.
pub fn to_jsonl(
    blocks: impl IntoIterator<Item = Table>,
    mut out: impl std::io::Write,
) -> std::io::Result<()> {
    for table in blocks {
        for row in 0..table.rows() {
            serde_json::to_writer(&mut out, &Row { table: &table, row })?;
            out.write_all(b"\n")?;
        }
    }
    out.flush()
}

/// A row, whose names keep the order of the columns.
struct Row<'a> {
    table: &'a Table,
    row: usize,
}

impl Serialize for Row<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut object = serializer.serialize_map(Some(self.table.columns.len()))?;
        for column in &self.table.columns {
            object.serialize_entry(column.name, &value(self.table, &column.values, self.row))?;
        }
        object.end()
    }
}

fn value(table: &Table, values: &Values, row: usize) -> Value {
    match values {
        // Without a clock a moment is a number of seconds.
        Values::Moment(v) if table.clock.is_none() => json!(rounded(v[row].0)),
        Values::Moment(v) => json!(table.moment(v[row])),
        Values::Number(v) => json!(v[row].map(rounded)),
        Values::Count(v) => json!(v[row]),
        Values::Word(v) => json!(v[row]),
        Values::Loads(v) => json!(v[row]),
        Values::Flag(v) => json!(v[row]),
    }
}
