//! Many logs as one table: a folder that query engines read by itself.

use std::path::{Path, PathBuf};

/// The tables that such a folder holds.
pub const TABLES: [&str; 2] = ["readings", "intervals"];

/// Where a table of a log goes, `TABLE/log=NAME/TABLE.parquet`: the layout in which DataFusion, DuckDB and Spark take `TABLE` for one
/// table with a column `log`.
#[must_use]
pub fn below(folder: &Path, table: &str, log: &str) -> PathBuf {
    folder.join(table).join(format!("log={log}")).join(format!("{table}.parquet"))
}

/// What logs are called in a folder: as their files are, without what needs an escape somewhere. Of the same name in several folders the
/// second is called `NAME-2`.
///
/// # Errors
/// A sentence, when two of them would be called the same, capitals aside.
pub fn names(logs: &[&Path]) -> Result<Vec<String>, String> {
    let stems: Vec<_> = logs
        .iter()
        .map(|l| l.file_stem().map_or_else(String::new, |s| s.to_string_lossy().into_owned()))
        .collect();
    let mut names: Vec<String> = Vec::new();
    for (i, stem) in stems.iter().enumerate() {
        let same = stems[..i].iter().filter(|s| *s == stem).count();
        let name = if same > 0 { format!("{}-{}", plain(stem), same + 1) } else { plain(stem) };
        if let Some(other) = names.iter().position(|n| n.to_lowercase() == name.to_lowercase()) {
            let (one, two) = (logs[other].display(), logs[i].display());
            return Err(format!(
                "{one} and {two} would both be log={name} in that folder; rename one of them"
            ));
        }
        names.push(name);
    }
    Ok(names)
}

/// A name that is a folder's on every system, and needs no escape in a query.
fn plain(name: &str) -> String {
    let plain: String =
        name.chars().map(|c| if c.is_alphanumeric() || matches!(c, '-' | '_') { c } else { '_' }).collect();
    if plain.is_empty() { "log".into() } else { plain }
}
