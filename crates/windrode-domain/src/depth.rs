//! Depths that know their datum.
//!
//! What the chart prints is below chart datum; the tide stands above it; only their sum is water. Most mistakes in
//! this field are of datum, not of arithmetic, so the three are three types.

use crate::units::Length;

/// Depth below chart datum; negative where it dries.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ChartedDepth(pub Length);

/// Height of the tide above chart datum.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct TideHeight(pub Length);

/// Water that is there, from the surface to the ground; negative where the ground stands dry.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct WaterDepth(pub Length);

impl ChartedDepth {
    /// The only way from a chart to the water.
    #[must_use]
    pub fn at(self, tide: TideHeight) -> WaterDepth {
        WaterDepth(self.0 + tide.0)
    }
}

impl WaterDepth {
    /// The only way from a sounding to the chart.
    #[must_use]
    pub fn reduced(self, tide: TideHeight) -> ChartedDepth {
        ChartedDepth(self.0 - tide.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sounding_reduced_and_raised_by_the_same_tide_is_itself() {
        let water = WaterDepth(Length::metres(4.25));
        let tide = TideHeight(Length::metres(1.75));
        assert_eq!(water.reduced(tide).at(tide), water);
    }
}
