//! Reading the ring: from the oldest frame, or from any place in it without reading what is before.

use core::ops::ControlFlow;

use embedded_storage_async::nor_flash::{NorFlash, ReadNorFlash};
use sequential_storage::cache::{Cache, Uncached, page_states::CalculatedPageStates};
use sequential_storage::queue::{QueueConfig, QueueStorage};
use tubtrace_protocol::{Cursor, MAX_FRAME, check_of};

use super::places::Place;
use super::ring::{Ring, RingError};
use super::sector::Sector;
use super::verifying_flash::VerifyingFlash;

/// A search for the frame that a cursor names, which can make way for writing after every group of sectors.
#[derive(Debug, Default)]
pub struct Search {
    /// The sector that comes next, the frames before it and the sectors that are left; `None` until it has begun.
    at: Option<(u32, u32, u32)>,
}

impl<F: NorFlash> Ring<F> {
    /// Hands over every frame, oldest first. Nothing is erased.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn read(&mut self, mut frame: impl FnMut(&[u8])) -> Result<(), RingError<F::Error>> {
        let found = self
            .read_from(&mut Cursor::default(), async |bytes| {
                frame(bytes);
                ControlFlow::Continue(())
            })
            .await?;
        // The beginning is in every log.
        debug_assert!(found);
        Ok(())
    }

    /// Hands over the frames after `cursor`, oldest first, until there are no more or `frame` has enough, and moves
    /// the cursor past them. `false`, and nothing handed over: this log does not have the place.
    ///
    /// Where the last read stopped is remembered for as long as it is not erased, so going on from there costs nothing. Any
    /// other place is found by [`Ring::search`].
    ///
    /// # Errors
    /// The flash's own.
    pub async fn read_from(
        &mut self,
        cursor: &mut Cursor,
        mut frame: impl AsyncFnMut(&[u8]) -> ControlFlow<()>,
    ) -> Result<bool, RingError<F::Error>> {
        let mut search = Search::default();
        while self.search(&mut search, cursor).await?.is_some() {}
        let Some(oldest) = self.oldest().await? else { return Ok(cursor.frames == 0) };
        // The cursor's own frame comes first, to see that it is the one; at the beginning there is none.
        let mut proved = cursor.frames == 0;
        let kept = self.queue.flash().places.kept(cursor);
        let Some(mut at) = kept.or(proved.then_some(Place { sector: oldest, within: 0 })) else {
            return Ok(false);
        };
        let mut buffer = [0; MAX_FRAME];
        let mut last = at;
        let mut enough = false;
        while !enough && !self.is_blank(at.sector).await? {
            let mut queue = alone(self.queue.flash(), at.sector)?;
            let mut frames = queue.iter().await.map_err(RingError::from);
            let mut within = 0;
            while let Ok(frames) = &mut frames
                && let Some(entry) = sound(frames.next(&mut buffer).await)?
            {
                let place = Place { sector: at.sector, within };
                within += 1;
                if place.within < at.within {
                    continue;
                }
                if !proved {
                    if check(&entry) != cursor.check {
                        return Ok(false);
                    }
                    proved = true;
                    continue;
                }
                enough = frame(&entry).await.is_break();
                if enough {
                    break;
                }
                *cursor = Cursor { frames: cursor.frames + 1, check: check(&entry) };
                last = place;
            }
            let next = self.queue.flash().places.after(at.sector);
            if next == oldest {
                break;
            }
            at = Place { sector: next, within: 0 };
        }
        if cursor.frames > 0 && proved {
            self.queue.flash().places.keep(*cursor, last);
        }
        Ok(proved)
    }

    /// Goes on with the search for the frame that a cursor names. `None` when it is over: found, or not there. Otherwise how far
    /// it has come, in thousandths; there was a group of sectors whose frames nobody had counted.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn search(
        &mut self,
        search: &mut Search,
        cursor: &Cursor,
    ) -> Result<Option<u16>, RingError<F::Error>> {
        if cursor.frames == 0 || self.queue.flash().places.kept(cursor).is_some() {
            return Ok(None);
        }
        let all = self.queue.flash().places.all();
        let (mut sector, mut before, mut left) = match search.at {
            Some(at) => at,
            None => match self.oldest().await? {
                Some(oldest) => (oldest, 0, all),
                None => return Ok(None),
            },
        };
        let mut news = false;
        while left > 0 && !news {
            let places = &self.queue.flash().places;
            let group = places.sectors(sector).count() as u32;
            let whole = group > 0 && group <= left;
            let (frames, step) = match places.count(sector) {
                Some(known) if whole => (known, group),
                _ if whole => {
                    news = true;
                    (self.count_group(sector).await?, group)
                }
                _ => (self.count_sector(sector).await?, 1),
            };
            if before + frames < cursor.frames {
                before += frames;
            } else if step == 1 {
                let place = Place { sector, within: cursor.frames - 1 - before };
                self.queue.flash().places.keep(*cursor, place);
                return Ok(None);
            } else {
                // It is in this group: sector by sector.
                return self.search_group(sector, before, cursor).await.map(|()| None);
            }
            left -= step;
            sector = (0..step).fold(sector, |s, _| self.queue.flash().places.after(s));
        }
        search.at = Some((sector, before, left));
        Ok((left > 0).then(|| ((all - left) * 1_000 / all) as u16))
    }

    /// Counts the frames of one group of sectors that nobody has counted; `false` when there is none. For a time when there is
    /// nothing else to do, so that no search has to.
    ///
    /// # Errors
    /// The flash's own.
    pub async fn count_ahead(&mut self) -> Result<bool, RingError<F::Error>> {
        let Some(group) = self.queue.flash().places.uncounted() else { return Ok(false) };
        self.count_group(group).await.map(|_| true)
    }

    async fn search_group(
        &mut self,
        start: u32,
        mut before: u32,
        cursor: &Cursor,
    ) -> Result<(), RingError<F::Error>> {
        for sector in self.queue.flash().places.sectors(start) {
            let frames = self.count_sector(sector).await?;
            if before + frames >= cursor.frames {
                let place = Place { sector, within: cursor.frames - 1 - before };
                self.queue.flash().places.keep(*cursor, place);
                return Ok(());
            }
            before += frames;
        }
        Ok(())
    }

    async fn count_group(&mut self, start: u32) -> Result<u32, RingError<F::Error>> {
        let mut frames = 0;
        for sector in self.queue.flash().places.sectors(start) {
            frames += self.count_sector(sector).await?;
        }
        self.queue.flash().places.counted(start, frames);
        Ok(frames)
    }

    async fn count_sector(&mut self, sector: u32) -> Result<u32, RingError<F::Error>> {
        if self.is_blank(sector).await? {
            return Ok(0);
        }
        let mut buffer = [0; MAX_FRAME];
        let mut queue = alone(self.queue.flash(), sector)?;
        let Some(mut frames) = sound(queue.iter().await.map(Some))? else { return Ok(0) };
        let mut count = 0;
        while sound(frames.next(&mut buffer).await)?.is_some() {
            count += 1;
        }
        Ok(count)
    }

    /// Whether the queue has not begun a sector: it marks the beginning of one before it writes there.
    async fn is_blank(&mut self, sector: u32) -> Result<bool, RingError<F::Error>> {
        let mut mark = [0];
        self.queue.flash().read(sector, &mut mark).await.map_err(RingError::Flash)?;
        Ok(mark == [0xff])
    }

    /// The sector that holds the oldest frame.
    async fn oldest(&mut self) -> Result<Option<u32>, RingError<F::Error>> {
        let mut buffer = [0; MAX_FRAME];
        let found = self.queue.iter().await?.next(&mut buffer).await?.is_some();
        let flash = self.queue.flash();
        // The queue does not say where it found the frame; it has just read it there.
        Ok(found.then(|| flash.places.sector_of(flash.looked)))
    }
}

type Alone<'f, F> =
    QueueStorage<Sector<'f, VerifyingFlash<F>>, Cache<CalculatedPageStates, Uncached, Uncached>>;

fn alone<F: NorFlash>(
    flash: &mut VerifyingFlash<F>,
    sector: u32,
) -> Result<Alone<'_, F>, RingError<F::Error>> {
    let cache = Cache::new(CalculatedPageStates::new(2), Uncached, Uncached);
    let config = QueueConfig::try_new(0..2 * F::ERASE_SIZE as u32).map_err(|_| RingError::Range)?;
    Ok(QueueStorage::new(Sector::new(flash, sector), config, cache))
}

/// A sector that was erased in part holds nothing more; anything else that the flash says counts.
fn sound<T, E>(entry: Result<Option<T>, sequential_storage::Error<E>>) -> Result<Option<T>, RingError<E>> {
    match entry.map_err(RingError::from) {
        Err(RingError::Corrupted) => Ok(None),
        other => other,
    }
}

fn check(frame: &[u8]) -> u32 {
    frame.strip_suffix(&[0]).and_then(|f| check_of(f).ok()).unwrap_or(0)
}
