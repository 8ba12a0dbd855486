//! UF2: blocks of 512 bytes, each of which says where its 256 belong, so that a board can take them in any order.
//!
//! The format is that of the "USB Flashing Format" specification (Microsoft, github.com/microsoft/uf2); the family's number is in
//! its list. The test reads what is written with a decoder that is not ours.

use std::fs;
use std::path::PathBuf;

use object::{Object, ObjectSegment, read::elf::ElfFile32};

const MAGIC: [u32; 2] = [0x0a32_4655, 0x9e5d_5157];
const MAGIC_END: u32 = 0x0ab1_6f30;
/// The family's number stands in the place of the file's size.
const FAMILY_PRESENT: u32 = 0x2000;
const RP2040: u32 = 0xe48b_ff56;
const PAYLOAD: usize = 256;
const BLOCK: usize = 512;
/// Where the flash begins and the RAM does.
const FLASH: std::ops::Range<u64> = 0x1000_0000..0x2000_0000;

/// Builds the image and writes it as a UF2 file beside itself.
pub fn write(image: &mut dyn FnMut() -> Result<PathBuf, String>) -> Result<(), String> {
    let elf = image()?;
    let path = elf.with_extension("uf2");
    let bytes = fs::read(&elf).map_err(|e| format!("{}: {e}", elf.display()))?;
    let blocks = encode(&pages(&bytes)?);
    fs::write(&path, &blocks).map_err(|e| format!("{}: {e}", path.display()))?;
    println!("{}: {} kB", path.display(), blocks.len() / 1_000);
    println!(
        "hold the board's BOOTSEL button while you plug it in, then copy this file onto the drive that appears"
    );
    Ok(())
}

/// What goes into flash, in pages of 256 bytes with their addresses; what no segment fills is zero.
fn pages(elf: &[u8]) -> Result<Vec<(u32, [u8; PAYLOAD])>, String> {
    let file = ElfFile32::<object::Endianness>::parse(elf).map_err(|e| e.to_string())?;
    let mut pages = std::collections::BTreeMap::<u32, [u8; PAYLOAD]>::new();
    for segment in file.segments() {
        let header = segment.elf_program_header();
        let physical = u64::from(header.p_paddr.get(object::Endianness::Little));
        if !FLASH.contains(&physical) {
            continue;
        }
        for (i, &byte) in segment.data().map_err(|e| e.to_string())?.iter().enumerate() {
            // Flash ends well below 2^32.
            let address = physical as u32 + i as u32;
            let page = pages.entry(address - address % PAYLOAD as u32).or_insert([0; PAYLOAD]);
            page[address as usize % PAYLOAD] = byte;
        }
    }
    Ok(pages.into_iter().collect())
}

fn encode(pages: &[(u32, [u8; PAYLOAD])]) -> Vec<u8> {
    let mut file = Vec::with_capacity(pages.len() * BLOCK);
    for (number, (address, payload)) in pages.iter().enumerate() {
        // An image has far fewer than 2^32 pages.
        let words = [FAMILY_PRESENT, *address, PAYLOAD as u32, number as u32, pages.len() as u32, RP2040];
        let start = file.len();
        MAGIC.iter().chain(&words).for_each(|word| file.extend(word.to_le_bytes()));
        file.extend(payload);
        file.resize(start + BLOCK - 4, 0);
        file.extend(MAGIC_END.to_le_bytes());
    }
    file
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the `uf2-decode` crate, which knows nothing of this one.
    #[test]
    fn another_decoder_reads_it() {
        let page = |n: u8| std::array::from_fn(|i| (i as u8).wrapping_mul(n));
        let pages: Vec<_> = (0..5).map(|n| (0x1000_0000 + u32::from(n) * 256, page(n + 1))).collect();
        let (bytes, families) = uf2_decode::convert_from_uf2(&encode(&pages)).unwrap();
        assert_eq!(bytes, pages.iter().flat_map(|(_, page)| *page).collect::<Vec<u8>>());
        assert_eq!(families.get(&RP2040), Some(&0x1000_0000));
    }
}
