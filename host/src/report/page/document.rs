//! The whole file around a body: style, script, policy and cautions.

use maud::{DOCTYPE, Markup, PreEscaped, html};

use super::colour;
use crate::text::plain;

const STYLE: &str = include_str!("page.css");

const SCRIPT: &str = include_str!("page.js");

/// Nothing from anywhere else, whatever a label may hold.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";

pub(super) const CAUTIONS: &str = "Mains, hot water and flooding can hurt people. Unplug or lock out the supply and prove it dead before a panel \
     comes off; panels back on before power. Local codes and licensed practice come first.";

/// For those who live with the machine.
pub(super) const AT_HOME: &str =
    "A leak or a burning smell: switch off at the breaker, shut the water, call.";

/// The whole file of a report.
pub(in crate::report) fn document(name: &str, body: &Markup) -> String {
    let body = html! {
        (body)
        footer { p { "Made by tubtrace " (env!("CARGO_PKG_VERSION")) " from a clip-on logger's record. " (CAUTIONS) } }
    };
    let style = colour::variables() + STYLE;
    file(&format!("{name} \u{2013} tubtrace report"), &style, SCRIPT, &body)
}

/// A whole file. What could steer or turn around the text is taken out here, of all names, labels and causes at once.
pub fn file(title: &str, style: &str, script: &str, body: &Markup) -> String {
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta http-equiv="Content-Security-Policy" content=(POLICY);
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                link rel="icon" href="data:,";
                title { (title) }
                style { (PreEscaped(style)) }
            }
            body {
                (body)
                @if !script.is_empty() { script { (PreEscaped(script)) } }
            }
        }
    };
    plain(&document.into_string())
}
