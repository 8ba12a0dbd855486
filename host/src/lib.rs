//! From a log to findings, one stage a module, each of which knows only the type it takes and the type it gives.
//!
//! ```text
//! log file -> trace -> loads -> intervals -> alignment -> programme -> checks -> findings -> report
//! ```
pub mod alignment;
pub mod analysis;
pub mod bench;
pub mod chart;
pub mod checks;
pub mod command;
pub mod compare;
pub mod constant;
pub mod diagnosis;
pub mod export;
pub mod findings;
pub mod intervals;
pub mod job;
pub mod learn;
pub mod link;
pub mod live;
pub mod loads;
pub mod log;
pub mod output;
mod parallel;
pub mod programme;
mod quantity;
pub mod report;
pub mod sheet;
mod stats;
mod text;
pub mod trace;

/// All constants that could have another value, stage by stage.
pub fn constants() -> impl Iterator<Item = &'static dyn constant::Listed> {
    let stages: [&[constant::List]; 12] = [
        &[alignment::CONSTANTS],
        &[bench::CONSTANTS],
        &checks::CONSTANTS,
        &[compare::CONSTANTS],
        &[diagnosis::CONSTANTS],
        &[findings::CONSTANTS],
        &[intervals::CONSTANTS],
        &[learn::CONSTANTS],
        &loads::constants::CONSTANTS,
        &[log::CONSTANTS],
        &[programme::CONSTANTS],
        &[sheet::CONSTANTS],
    ];
    stages.into_iter().flatten().flat_map(|list| list.iter().copied())
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::{Path, PathBuf};

    use super::constant::{Listed, Origin};
    use super::constants;

    /// The modules of this crate, each after all that it may import.
    const ORDER: [&str; 27] = [
        "parallel",
        "text",
        "stats",
        "constant",
        "trace",
        "quantity",
        "log",
        "loads",
        "intervals",
        "analysis",
        "chart",
        "alignment",
        "programme",
        "checks",
        "findings",
        "learn",
        "sheet",
        "compare",
        "diagnosis",
        "job",
        "bench",
        "report",
        "export",
        "output",
        "link",
        "live",
        "command",
    ];

    fn sources(folder: &Path) -> Vec<PathBuf> {
        let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
        entries.flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] }).collect()
    }

    #[test]
    fn no_stage_imports_a_later_one() {
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let place = |name: &str| ORDER.iter().position(|module| *module == name);
        let mut seen = BTreeSet::new();
        for file in sources(&source).into_iter().filter(|file| file.extension().is_some_and(|e| e == "rs")) {
            let within = file.strip_prefix(&source).unwrap();
            let first = within.iter().next().unwrap().to_str().unwrap();
            let own = first.strip_suffix(".rs").unwrap_or(first);
            if ["lib", "main"].contains(&own) {
                continue;
            }
            seen.insert(own.to_owned());
            let text = fs::read_to_string(&file).unwrap();
            // Tests stand last in their file, and may use whatever they need.
            let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
            let code = code.lines().filter(|line| !line.trim_start().starts_with("//"));
            for line in code {
                for import in line.split("crate::").skip(1) {
                    let end =
                        import.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(import.len());
                    let later = place(&import[..end]).is_some_and(|at| at > place(own).expect(own));
                    assert!(!later, "{}: {}", within.display(), line.trim());
                }
            }
        }
        assert_eq!(seen, ORDER.into_iter().map(str::to_owned).collect());
    }

    /// The files beside this one that it imports from, `mod.rs` left out: it wires what stands beside it.
    fn beside(file: &Path) -> Vec<PathBuf> {
        let text = fs::read_to_string(file).unwrap();
        let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
        let mut names = Vec::new();
        for import in code.split("use super::").skip(1) {
            let import = import.split(';').next().unwrap_or_default();
            // Names of files stand in braces only where nothing stands before those; what is in braces within is taken from them.
            let Some(several) = import.strip_prefix('{') else {
                names.push(import.to_owned());
                continue;
            };
            let (mut depth, mut name) = (0, String::new());
            for c in several.chars() {
                depth += i32::from(c == '{') - i32::from(c == '}');
                if depth == 0 && c == ',' {
                    names.push(std::mem::take(&mut name));
                } else {
                    name.push(c);
                }
            }
            names.push(name);
        }
        let first = |name: &String| {
            let end = name.trim().find(|c: char| !(c.is_alphanumeric() || c == '_'));
            name.trim()[..end.unwrap_or(name.trim().len())].to_owned()
        };
        let paths = names.iter().map(|name| file.with_file_name(first(name) + ".rs"));
        paths.filter(|path| path.is_file()).collect()
    }

    #[test]
    fn no_files_of_a_folder_import_each_other_in_a_circle() {
        let source = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let wires = |file: &Path| file.file_name().is_some_and(|name| name == "mod.rs");
        let mut met = 0;
        for file in sources(&source).into_iter().filter(|file| !wires(file)) {
            let (mut reached, mut next) = (BTreeSet::new(), beside(&file));
            met += next.len();
            while let Some(at) = next.pop() {
                assert!(at != file, "{} imports itself by way of {reached:?}", file.display());
                if reached.insert(at.clone()) {
                    next.extend(beside(&at));
                }
            }
        }
        assert!(met > 300, "{met} imports");
    }

    #[test]
    fn no_two_constants_have_one_name() {
        let names: BTreeSet<&str> = constants().map(Listed::name).collect();
        assert_eq!(names.len(), constants().count());
    }

    #[test]
    fn every_constant_says_what_it_is() {
        for constant in constants() {
            let name = constant.name();
            assert!(constant.number().is_finite(), "{name}");
            assert!(!constant.unit().is_empty() && constant.meaning().split(' ').count() > 3, "{name}");
            assert!(constant.origin() != Origin::Source(""), "{name}");
        }
    }
}
