//! Apache Parquet: typed columns; units, and what columns mean, in the file's metadata as `unit.COLUMN` and `about.COLUMN`.

use std::io::Write;
use std::sync::Arc;

use parquet::basic::Compression;
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::parser::parse_message_type;

use super::table::{Column, Table, Values};
use crate::trace::Zone;

/// The table as Parquet, a row group for each block. A moment is two columns: `time` is UTC, where the log knows it, `local_time` the time of day.
///
/// # Errors
/// When it cannot be written.
pub fn to_parquet(
    blocks: impl IntoIterator<Item = Table>,
    out: impl Write + Send,
) -> Result<(), ParquetError> {
    let mut blocks = blocks.into_iter().peekable();
    let none = || ParquetError::General("a table without blocks".into());
    let first = blocks.peek().ok_or_else(none)?;
    let schema = Arc::new(parse_message_type(&schema(first))?);
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_key_value_metadata(Some(metadata(first)))
        .build();
    let mut writer = SerializedFileWriter::new(out, schema, Arc::new(properties))?;
    for table in blocks {
        let mut rows = writer.next_row_group()?;
        for column in &table.columns {
            write(&table, column, &mut rows)?;
        }
        rows.close()?;
    }
    writer.close()?;
    Ok(())
}

/// The schema, in Parquet's own language.
fn schema(table: &Table) -> String {
    let columns: Vec<String> = table
        .columns
        .iter()
        .map(|Column { name, values, .. }| match values {
            Values::Moment(_) => format!(
                "OPTIONAL INT64 {name} (TIMESTAMP(MICROS,true)); OPTIONAL INT64 local_{name} (TIMESTAMP(MICROS,false));"
            ),
            Values::Number(_) => format!("OPTIONAL DOUBLE {name};"),
            Values::Count(_) => format!("REQUIRED INT32 {name} (INTEGER(32,false));"),
            Values::Word(_) | Values::Loads(_) => format!("REQUIRED BYTE_ARRAY {name} (STRING);"),
            Values::Flag(_) => format!("OPTIONAL BOOLEAN {name};"),
        })
        .collect();
    format!("message {} {{ {} }}", table.name, columns.join(" "))
}

fn metadata(table: &Table) -> Vec<KeyValue> {
    let facts = table.facts.iter().map(|(key, value)| KeyValue::new((*key).to_owned(), value.clone()));
    let units = table.columns.iter().filter(|c| !c.unit.is_empty());
    let units = units.map(|c| KeyValue::new(format!("unit.{}", c.name), c.unit.to_owned()));
    let about = table.columns.iter().map(|c| KeyValue::new(format!("about.{}", c.name), c.told.to_owned()));
    facts.chain(units).chain(about).collect()
}

type Rows<'a, W> = SerializedRowGroupWriter<'a, W>;

fn write<W: Write + Send>(table: &Table, column: &Column, rows: &mut Rows<W>) -> Result<(), ParquetError> {
    match &column.values {
        Values::Moment(moments) => {
            let utc = table.clock.filter(|c| c.zone != Zone::Unsaid);
            optional::<Int64Type, _, _>(moments.iter().map(|m| Some(utc?.at(*m)?.as_microsecond())), rows)?;
            let local = |m| {
                let local = table.clock?.local(m)?;
                Some(jiff::tz::Offset::UTC.to_timestamp(local).ok()?.as_microsecond())
            };
            optional::<Int64Type, _, _>(moments.iter().map(|m| local(*m)), rows)
        }
        Values::Number(numbers) => optional::<DoubleType, _, _>(numbers.iter().copied(), rows),
        // Unsigned numbers are stored in the bits of signed ones.
        Values::Count(counts) => {
            required::<Int32Type, _>(counts.iter().map(|c| c.cast_signed()).collect(), rows)
        }
        Values::Word(words) => {
            required::<ByteArrayType, _>(words.iter().map(|w| ByteArray::from(*w)).collect(), rows)
        }
        Values::Loads(loads) => required::<ByteArrayType, _>(
            loads.iter().map(|l| ByteArray::from(l.to_string().as_str())).collect(),
            rows,
        ),
        Values::Flag(flags) => optional::<BoolType, _, _>(flags.iter().copied(), rows),
    }
}

fn required<T: parquet::data_type::DataType, W: Write + Send>(
    values: Vec<T::T>,
    rows: &mut Rows<W>,
) -> Result<(), ParquetError> {
    column::<T, W>(&values, None, rows)
}

/// Values that may be missing: level 1 is there, level 0 is not.
fn optional<T: parquet::data_type::DataType, W: Write + Send, I: Iterator<Item = Option<T::T>>>(
    values: I,
    rows: &mut Rows<W>,
) -> Result<(), ParquetError> {
    let (mut there, mut levels) = (Vec::new(), Vec::new());
    for value in values {
        levels.push(i16::from(value.is_some()));
        there.extend(value);
    }
    column::<T, W>(&there, Some(&levels), rows)
}

fn column<T: parquet::data_type::DataType, W: Write + Send>(
    values: &[T::T],
    levels: Option<&[i16]>,
    rows: &mut Rows<W>,
) -> Result<(), ParquetError> {
    let short = || ParquetError::General("the schema has fewer columns than the table".into());
    let mut column = rows.next_column()?.ok_or_else(short)?;
    column.typed::<T>().write_batch(values, levels, None)?;
    column.close()
}
