//! The generator behind every random choice.

/// The generator behind every random choice: small, fast and the same on every platform.
pub type Random = rand_xoshiro::Xoshiro256PlusPlus;
