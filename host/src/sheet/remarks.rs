//! What is odd about a sheet, and may be so on the paper: lines that were perhaps passed over.

use super::limits::Drawn;
use super::mistake::Mistake;
use super::paper::Does;

/// What is odd, by line.
#[must_use]
pub fn remarks(drawn: &Drawn) -> Vec<Mistake> {
    let mut all = Vec::new();
    // Water from the part before: one that is not drained is washed with again.
    let mut water = false;
    for part in &drawn.waters {
        for (line, step) in &part.steps {
            let dries = matches!(step.does, Does::Dry | Does::HeatedDry);
            match step.does {
                does if does.in_water() && !water => {
                    all.push(remark(
                        *line,
                        "washes, and no fill stands above it in this water; write it if the paper has one",
                    ));
                    water = true;
                }
                _ if dries && water => {
                    all.push(remark(
                        *line,
                        "dries, and the water above it is not drained; write the drain if the paper has one",
                    ));
                    water = false;
                }
                Does::Fill => water = true,
                Does::Drain => water = false,
                _ => {}
            }
        }
    }
    let last = drawn.waters.iter().flat_map(|part| &part.steps).next_back();
    if let Some((line, _)) = last.filter(|_| water) {
        all.push(remark(*line, "ends with water in the tub; write the drain if the paper has one"));
    }
    all
}

fn remark(line: usize, what: &str) -> Mistake {
    Mistake { line, what: what.into() }
}
