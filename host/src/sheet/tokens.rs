//! A line in pieces: numbers, times of a clock, words and signs.

/// A piece of a line.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Token {
    /// A number and how it is written: 4, 1.5, 1,5, 1/2.
    Number(f64, String),
    /// Minutes and seconds, or hours, minutes and seconds, as seconds: 1:30.
    Clock(f64, String),
    /// A word, or a sign that is one: "+".
    Word(String),
}

/// The pieces of a line, or what in it cannot be read.
pub(super) fn tokens(line: &str) -> Result<Vec<Token>, String> {
    let chars: Vec<char> = line.chars().flat_map(alike).collect();
    let mut tokens = Vec::new();
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let mut at = 0;
    while let Some(&c) = chars.get(at) {
        let begin = at;
        if c.is_whitespace() {
            at += 1;
            continue;
        }
        if c.is_ascii_digit() || (c == '.' && digit(at + 1) && (at == 0 || chars[at - 1] != '.')) {
            at = end_of_number(&chars, at);
            let written: String = chars[begin..at].iter().collect();
            tokens.push(if written.contains(':') {
                clock(written)?
            } else {
                Token::Number(value(&written)?, written)
            });
        } else if c.is_alphabetic() {
            let goes_on = |i: usize| {
                let hyphen = chars[i] == '-' && chars.get(i + 1).is_some_and(|c| c.is_alphabetic());
                chars[i].is_alphabetic() || hyphen
            };
            while at < chars.len() && goes_on(at) {
                at += 1;
            }
            tokens.push(Token::Word(chars[begin..at].iter().collect()));
        } else {
            let number_next = chars.get(at + 1).is_some_and(char::is_ascii_digit);
            let number_before =
                matches!(tokens.last(), Some(Token::Number(..) | Token::Clock(..) | Token::Word(_)));
            let space_before = begin == 0 || chars[begin - 1].is_whitespace();
            if c == '-' && number_next && space_before && number_before {
                let number: String = chars[at..end_of_number(&chars, at + 1)].iter().collect();
                return Err(format!("{number} is below 0; write it without the minus, and a range as 8-12"));
            }
            at += 1;
            // The point of an abbreviation: "min."
            let abbreviated = c == '.' && matches!(tokens.last(), Some(Token::Word(word)) if word != ".");
            tokens.extend((!abbreviated).then(|| Token::Word(c.to_string())));
        }
    }
    Ok(with_fractions(tokens))
}

/// Signs that look alike are one, and fractions of one character are written out.
fn alike(c: char) -> Vec<char> {
    match c {
        '\u{2019}' | '\u{2018}' | '\u{2032}' | '`' => vec!['\''],
        '\u{2033}' | '\u{201d}' | '\u{201c}' => vec!['"'],
        '\u{2010}'..='\u{2015}' | '\u{2212}' => vec!['-'],
        '\u{d7}' => vec!['x'],
        '\u{b0}' | '\u{ba}' | '\u{2da}' => vec![' '],
        '\u{2103}' => vec!['c'],
        '\u{2109}' => vec!['f'],
        '\u{bd}' => " 1/2".chars().collect(),
        '\u{bc}' => " 1/4".chars().collect(),
        '\u{be}' => " 3/4".chars().collect(),
        '\u{2026}' => vec!['-'],
        c => vec![c],
    }
}

/// Where a number ends that begins at `at`: digits, with a point, a comma, a colon or a stroke between them, and a power of ten.
fn end_of_number(chars: &[char], mut at: usize) -> usize {
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    loop {
        match chars.get(at) {
            Some(c) if c.is_ascii_digit() => at += 1,
            Some('.' | ',' | ':' | '/') if digit(at + 1) => at += 1,
            Some('e' | 'E') if digit(at + 1) => at += 1,
            _ => return at,
        }
    }
}

fn value(written: &str) -> Result<f64, String> {
    let number = match written.split_once('/') {
        Some((above, below)) => above.parse::<f64>().ok().zip(below.parse::<f64>().ok()).map(|(a, b)| a / b),
        None => written.replace(',', ".").parse().ok(),
    };
    let number = number.filter(|n: &f64| n.is_finite());
    number.ok_or_else(|| {
        format!("{} is no number that a time can have; write minutes as 4, 1.5 or 1:30", short(written))
    })
}

/// Hours or minutes, and what follows them in two digits each.
fn clock(written: String) -> Result<Token, String> {
    let pieces: Vec<&str> = written.split(':').collect();
    let two_digits = pieces[1..].iter().all(|p| p.len() == 2 && p.parse::<u32>().is_ok_and(|n| n < 60));
    let numbers: Option<Vec<f64>> = pieces.iter().map(|p| p.parse::<u32>().ok().map(f64::from)).collect();
    match numbers {
        Some(numbers) if two_digits && (2..=3).contains(&numbers.len()) => {
            Ok(Token::Clock(numbers.iter().fold(0.0, |sum, n| 60.0 * sum + n), written))
        }
        _ => Err(format!(
            "{} is no time: minutes and two digits of seconds below 60, as in 1:30 or 4:05",
            short(&written)
        )),
    }
}

/// A whole number before a fraction is of it: 1 1/2.
fn with_fractions(tokens: Vec<Token>) -> Vec<Token> {
    let mut joined: Vec<Token> = Vec::new();
    for token in tokens {
        if let (Token::Number(part, written), Some(Token::Number(whole, before))) =
            (&token, joined.last_mut())
            && written.contains('/')
            && before.bytes().all(|b| b.is_ascii_digit())
        {
            *whole += part;
            *before = format!("{before} {written}");
            continue;
        }
        joined.push(token);
    }
    joined
}

/// What was typed, where it is long only its beginning.
pub(super) fn short(typed: &str) -> String {
    const MOST: usize = 24;
    if typed.chars().count() <= MOST {
        typed.to_owned()
    } else {
        typed.chars().take(MOST).collect::<String>() + "..."
    }
}
