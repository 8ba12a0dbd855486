//! Many logs as one table: a folder that query engines read by itself.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::table::Table;
use super::to_parquet;

/// Writes tables below `folder`, each at `TABLE/log=NAME/TABLE.parquet`: the layout in which DataFusion, DuckDB and Spark take
/// `TABLE` for one table with a column `log`. Gives the files.
///
/// # Errors
/// When something cannot be written.
pub fn to_folder(folder: &Path, log: &str, tables: &[Table]) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for table in tables {
        let place = folder.join(table.name).join(format!("log={}", plain(log)));
        fs::create_dir_all(&place)?;
        let path = place.join(format!("{}.parquet", table.name));
        to_parquet(table, io::BufWriter::new(File::create(&path)?)).map_err(io::Error::other)?;
        files.push(path);
    }
    Ok(files)
}

/// A name that is a folder's on every system, and needs no escape in a query.
fn plain(name: &str) -> String {
    let plain: String =
        name.chars().map(|c| if c.is_alphanumeric() || matches!(c, '-' | '_') { c } else { '_' }).collect();
    if plain.is_empty() { "log".into() } else { plain }
}
