//! Colours of our own, for light and for dark. Nothing is told by colour alone: bands carry their word, lines their name.

use std::fmt::Write;

use crate::intervals::Kind;

/// Colours as CSS writes them, by what they are for.
type Palette = [(&'static str, &'static str); 12];

/// On white, and on paper.
const LIGHT: Palette = [
    ("paper", "#fbfaf7"),
    ("card", "#ffffff"),
    ("ink", "#1d2327"),
    ("soft", "#565f66"),
    ("rule", "#d8d5cc"),
    ("limit", "#eee6d0"),
    ("edge", "#7d745d"),
    ("alert", "#a3282f"),
    ("on-alert", "#ffffff"),
    ("fine", "#2a6b3c"),
    ("line", "#22405f"),
    ("line-2", "#a8481c"),
];

/// Colours where the reader's system asks for a dark page, by the names that the style sheet uses.
const DARK: Palette = [
    ("paper", "#14181b"),
    ("card", "#1c2226"),
    ("ink", "#eceae4"),
    ("soft", "#a9b1b6"),
    ("rule", "#39424a"),
    ("limit", "#3a3729"),
    ("edge", "#9a8f72"),
    ("alert", "#ff9a94"),
    ("on-alert", "#260405"),
    ("fine", "#8fd6a1"),
    ("line", "#a5c8ee"),
    ("line-2", "#f0a877"),
];

/// What the machine does: the band's colour, and that of the word on it. Found by a search for colours that stay furthest apart for
/// every kind of colour vision. Red is for faults alone, so heat is amber.
const BANDS: [(Kind, &str, &str); 6] = [
    (Kind::Fill, "#6c70a4", "#ffffff"),
    (Kind::Wash, "#1cba9d", "#000000"),
    (Kind::Heat, "#de9711", "#000000"),
    (Kind::Purge, "#ffd9ff", "#000000"),
    (Kind::Drain, "#befaa7", "#000000"),
    (Kind::Dry, "#705227", "#ffffff"),
];

/// The variables of the style sheet.
pub(super) fn variables() -> String {
    let mut css = format!(":root{{{}", of(&LIGHT));
    for (kind, fill, ink) in BANDS {
        let _ = write!(css, "--{kind}:{fill};--on-{kind}:{ink};");
    }
    // Paper is white, whatever the screen was.
    let _ = write!(css, "}}@media screen and (prefers-color-scheme:dark){{:root{{{}}}}}", of(&DARK));
    css
}

fn of(palette: &Palette) -> String {
    palette.iter().fold(String::new(), |css, (name, colour)| css + &format!("--{name}:{colour};"))
}

#[cfg(test)]
mod tests {
    use palette::color_difference::{Ciede2000, Wcag21RelativeContrast};
    use palette::{IntoColor, Lab, LinSrgb, Srgb};

    use super::*;

    /// What dichromats see, in linear RGB: Machado, Oliveira and Fernandes, IEEE Transactions on Visualization and Computer Graphics
    /// 15 (2009), severity 1.0.
    const DICHROMATS: [(&str, [[f32; 3]; 3]); 3] = [
        (
            "protan",
            [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
        ),
        (
            "deutan",
            [
                [0.367_322, 0.860_646, -0.227_968],
                [0.280_085, 0.672_501, 0.047_413],
                [-0.011_820, 0.042_940, 0.968_881],
            ],
        ),
        (
            "tritan",
            [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
        ),
    ];

    fn colour(hex: &str) -> LinSrgb {
        let parsed: Srgb<u8> = hex.parse().expect("a colour");
        parsed.into_format::<f32>().into_linear()
    }

    fn seen(colour: LinSrgb, matrix: &[[f32; 3]; 3]) -> LinSrgb {
        let (r, g, b) = colour.into_components();
        let [red, green, blue] = matrix.map(|row| (row[0] * r + row[1] * g + row[2] * b).clamp(0.0, 1.0));
        LinSrgb::new(red, green, blue)
    }

    fn apart(a: LinSrgb, b: LinSrgb) -> f32 {
        let lab = |c: LinSrgb| -> Lab { c.into_color() };
        lab(a).difference(lab(b))
    }

    fn contrast(a: &str, b: &str) -> f32 {
        Srgb::from_linear(colour(a)).relative_contrast(Srgb::from_linear(colour(b)))
    }

    fn named(palette: &Palette, name: &str) -> &'static str {
        palette.iter().find(|c| c.0 == name).expect("a colour of the palette").1
    }

    /// CIEDE2000 differences: 2.3 is one that is just noticed (Mahy, Van Eycken and Oosterlinck, 1994, for CIELAB).
    #[test]
    fn bands_are_told_apart_by_every_eye() {
        let nobody = [("nobody's", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])];
        for (eye, matrix) in nobody.iter().chain(&DICHROMATS) {
            for (i, a) in BANDS.iter().enumerate() {
                for b in &BANDS[i + 1..] {
                    let difference = apart(seen(colour(a.1), matrix), seen(colour(b.1), matrix));
                    assert!(difference > 14.0, "{eye}: {} and {} differ by {difference}", a.0, b.0);
                }
            }
            for palette in [&LIGHT, &DARK] {
                let lines =
                    [named(palette, "line"), named(palette, "line-2")].map(|c| seen(colour(c), matrix));
                assert!(apart(lines[0], lines[1]) > 14.0, "{eye}");
            }
        }
    }

    /// Who sees amber and red as two browns still tells heat from a fault.
    #[test]
    fn nothing_that_a_machine_does_is_as_red_as_a_fault() {
        let nobody = ("nobody's", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]);
        for (eye, matrix) in std::iter::once(&nobody).chain(&DICHROMATS) {
            let alert = seen(colour(named(&LIGHT, "alert")), matrix);
            for (kind, fill, _) in BANDS.iter().filter(|b| b.0 != Kind::Dry || *eye == "nobody's") {
                let difference = apart(seen(colour(fill), matrix), alert);
                assert!(difference > 14.0, "{eye}: {kind} and a fault differ by {difference}");
            }
        }
    }

    /// WCAG 2.2 AA: 4.5 for text (1.4.3), 3 for what a picture is made of (1.4.11).
    #[test]
    fn contrasts_are_those_of_wcag() {
        for palette in [&LIGHT, &DARK] {
            let of = |name| named(palette, name);
            for ground in ["paper", "card"] {
                for text in ["ink", "soft", "alert", "fine"] {
                    assert!(contrast(of(text), of(ground)) >= 4.5, "{text} on {ground}");
                }
                for shape in ["edge", "line", "line-2", "alert"] {
                    assert!(contrast(of(shape), of(ground)) >= 3.0, "{shape} on {ground}");
                }
            }
            for shape in ["line", "line-2", "edge"] {
                assert!(contrast(of(shape), of("limit")) >= 3.0, "{shape} on limits");
            }
            assert!(contrast(of("on-alert"), of("alert")) >= 4.5);
        }
        for (kind, fill, ink) in BANDS {
            assert!(contrast(ink, fill) >= 4.5, "{kind}: {}", contrast(ink, fill));
        }
    }
}
