//! Places of frames: how many each group of sectors holds, and where the last read stopped.
//!
//! Frames are of any length, so the place of the one with a given number is known only by counting those before it. What was
//! counted is kept in memory and not in flash: it costs no wear, and what is written or erased forgets the count of its
//! group, so it is never wrong.

use core::ops::Range;

use tubtrace_protocol::Cursor;

/// Groups of sectors whose frames are counted. A chip of 16 MiB has groups of 32 KiB: a tenth of a second to walk through.
const GROUPS: usize = 512;

const UNKNOWN: u16 = u16::MAX;

/// A frame: its sector's first byte, and how many frames are before it in that sector.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) sector: u32,
    pub(super) within: u32,
}

pub(super) struct Places {
    range: Range<u32>,
    sector: u32,
    /// Bytes of a group: whole sectors.
    group: u32,
    counts: [u16; GROUPS],
    /// Where the group that was written to last begins: it is not worth counting while nobody asks.
    busy: Option<u32>,
    /// The frame that a reader had last, by its number and check.
    read: Option<(Cursor, Place)>,
}

impl Places {
    /// Nothing is known yet of the ring in `range`.
    pub(super) const fn over(range: Range<u32>, sector: usize) -> Self {
        let sector = sector as u32;
        let sectors = (range.end - range.start) / sector;
        let group = sector * sectors.div_ceil(GROUPS as u32);
        Self { range, sector, group, counts: [UNKNOWN; GROUPS], busy: None, read: None }
    }

    /// Something was written at this place: what is counted there has to be counted again.
    pub(super) fn written(&mut self, at: u32) {
        if let Some(group) = self.group_of(at) {
            self.counts[group] = UNKNOWN;
            self.busy = Some(self.range.start + group as u32 * self.group);
        }
    }

    /// A sector is erased.
    pub(super) fn erased(&mut self, sector: u32) {
        if let Some(group) = self.group_of(sector) {
            self.counts[group] = UNKNOWN;
        }
        self.read.take_if(|(_, place)| place.sector == sector);
    }

    /// How many frames the group has that begins at `start`, if that is known.
    pub(super) fn count(&self, start: u32) -> Option<u32> {
        let count = self.counts[self.group_of(start)?];
        (count != UNKNOWN).then_some(u32::from(count))
    }

    /// So many frames are in the group that begins at `start`.
    pub(super) fn counted(&mut self, start: u32, frames: u32) {
        if let Some(group) = self.group_of(start) {
            self.counts[group] = u16::try_from(frames).unwrap_or(UNKNOWN);
        }
    }

    /// Where a group begins that nobody has counted.
    pub(super) fn uncounted(&self) -> Option<u32> {
        self.range
            .clone()
            .step_by(self.group as usize)
            .find(|&start| self.busy != Some(start) && self.count(start).is_none())
    }

    /// The sectors of the group that begins at `start`; empty where none begins.
    pub(super) fn sectors(&self, start: u32) -> impl Iterator<Item = u32> + use<> {
        let begins = (start - self.range.start).is_multiple_of(self.group);
        let end = if begins { (start + self.group).min(self.range.end) } else { start };
        (start..end).step_by(self.sector as usize)
    }

    /// The sector after one, round and round.
    pub(super) const fn after(&self, sector: u32) -> u32 {
        let next = sector + self.sector;
        if next < self.range.end { next } else { self.range.start }
    }

    /// The first byte of the sector in which a byte is.
    pub(super) const fn sector_of(&self, at: u32) -> u32 {
        at - (at - self.range.start) % self.sector
    }

    /// Sectors of the ring.
    pub(super) const fn all(&self) -> u32 {
        (self.range.end - self.range.start) / self.sector
    }

    /// A reader had this frame last.
    pub(super) const fn keep(&mut self, cursor: Cursor, place: Place) {
        self.read = Some((cursor, place));
    }

    /// The place of the frame that a cursor names, if that is the one that was kept.
    pub(super) fn kept(&self, cursor: &Cursor) -> Option<Place> {
        self.read.filter(|(kept, _)| kept == cursor).map(|(_, place)| place)
    }

    fn group_of(&self, at: u32) -> Option<usize> {
        self.range.contains(&at).then(|| ((at - self.range.start) / self.group) as usize)
    }
}
