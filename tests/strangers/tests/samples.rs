//! The samples of a cycle as a file.

use strangers::args::Args;
use strangers::{kinds, samples};

#[test]
fn the_file_has_four_channels_and_its_constant() {
    let out = std::env::temp_dir().join(format!("strangers-{}", std::process::id()));
    let args = Args { minutes: 0.3, cycle: Some(1), out: out.clone(), ..Args::default() };
    let m = kinds::named("plain-230").expect("kind").machine(1);
    samples::write(&args, &m).expect("written");
    let bytes = std::fs::read(out.join("cycle.wav")).expect("read");
    std::fs::remove_dir_all(&out).expect("removed");
    let word = |at: usize| u32::from_le_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]]);
    assert_eq!((&bytes[..4], word(24), bytes[22]), (&b"RIFF"[..], 4800, 4));
    // 5 s of quiet and 18 s of the cycle, eight bytes a frame.
    assert_eq!(bytes.len(), 44 + 23 * 4800 * 8);
    assert_eq!(word(40) as usize, bytes.len() - 44);
    let constant = i16::from_le_bytes([bytes[50], bytes[51]]);
    assert_eq!(constant, 16_384);
}
