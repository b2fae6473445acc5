//! A small deterministic generator, so that a seed names a bow for good.

/// SplitMix64.
///
/// Source: Steele, Lea & Flood, Fast Splittable Pseudorandom Number Generators (2014).
#[derive(Clone, Debug)]
pub(crate) struct SplitMix {
    state: u64,
}

impl SplitMix {
    /// The generator that a seed starts.
    pub(crate) fn new(seed: u64) -> Self {
        Self { state: seed }
    }

    /// The next 64 bits.
    pub(crate) fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.state;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// A number from 0 (included) to 1 (excluded).
    #[allow(clippy::cast_precision_loss)]
    pub(crate) fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number spread evenly from `low` to `high`.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A number with normal distribution, redrawn beyond two and a half sds (Box and Muller 1958).
    pub(crate) fn normal(&mut self, mean: f64, sd: f64) -> f64 {
        loop {
            let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
            let z = radius * (std::f64::consts::TAU * self.unit()).cos();
            if z.abs() <= 2.5 {
                return mean + sd * z;
            }
        }
    }
}
