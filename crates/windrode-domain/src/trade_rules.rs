//! Rules of scope as the trade tells them, set beside what the physics asks.
//!
//! *Scope* is length of rode over height from the roller to the ground, reckoned at the highest water of the stay.
//! The rules know nothing of the wind, of the weight of the chain or of how deep it is: in shallow water a fixed
//! scope is too little, because a short chain has no weight to sag with; in deep water it is more than is needed. All
//! are common practice, no source.

use crate::units::Length;

/// What the rode is, as far as the rules care.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RodeKind {
    /// Chain to the roller.
    AllChain,
    /// Chain, then rope.
    ChainAndRope,
}

/// A rule of scope: common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScopeRule {
    /// What it is for, in the trade's words.
    pub name: &'static str,
    /// The rode it speaks of; `None`: any.
    pub rode: Option<RodeKind>,
    /// Least scope.
    pub from: f64,
    /// Most that it asks.
    pub to: f64,
}

/// Fair-weather scope on chain. Common practice, no source.
pub const FAIR_SCOPE_CHAIN: f64 = 4.0;
/// The least scope with rope in the rode. Common practice, no source.
pub const FAIR_SCOPE_ROPE: f64 = 6.0;

/// The rules.
pub const SCOPE_RULES: [ScopeRule; 4] = [
    ScopeRule { name: "a lunch stop, somebody on board", rode: Some(RodeKind::AllChain), from: 3.0, to: 3.0 },
    ScopeRule {
        name: "fair weather on chain",
        rode: Some(RodeKind::AllChain),
        from: FAIR_SCOPE_CHAIN,
        to: FAIR_SCOPE_CHAIN,
    },
    ScopeRule { name: "chain and rope", rode: Some(RodeKind::ChainAndRope), from: FAIR_SCOPE_ROPE, to: 8.0 },
    ScopeRule { name: "a storm", rode: None, from: 6.0, to: 10.0 },
];

/// The least rode in very shallow water, whatever the scope comes to: common practice, no source. Below it a chain
/// has no catenary to speak of.
pub const LEAST_RODE: Length = Length::metres(15.0);

/// What a rule asks at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RuleFigure {
    /// The rule.
    pub rule: ScopeRule,
    /// The least that it asks.
    pub from: Length,
    /// The most that it asks.
    pub to: Length,
    /// The scope alone asked less than [`LEAST_RODE`], which stands in its place.
    pub shallow: bool,
}

/// Height from the ground to the bow roller: water from surface to ground, and the roller above the water.
pub fn height_to_roller(water: Length, roller_height: Length) -> Length {
    water + roller_height
}

/// Scope of a length of rode; `None` unless the height is positive.
pub fn scope(rode: Length, height: Length) -> Option<f64> {
    (Length::ZERO < height && rode.is_finite()).then(|| rode / height)
}

/// What every rule for such a rode asks, at a height from roller to ground; none unless the height is positive.
pub fn rules_for(rode: RodeKind, height: Length) -> Vec<RuleFigure> {
    if !(0.0 < height.as_metres() && height.is_finite()) {
        return Vec::new();
    }
    let spoken = SCOPE_RULES.into_iter().filter(|rule| rule.rode.is_none_or(|kind| kind == rode));
    let figure = |rule: ScopeRule| {
        let (from, to) = (height * rule.from, height * rule.to);
        RuleFigure { rule, from: from.max(LEAST_RODE), to: to.max(LEAST_RODE), shallow: from < LEAST_RODE }
    };
    spoken.map(figure).collect()
}

/// Whole marks, and rode beyond the last, for a length out; `None` unless the marks stand apart.
pub fn marks_out(length: Length, every: Length) -> Option<(f64, Length)> {
    if !(0.0 < every.as_metres() && Length::ZERO <= length) {
        return None;
    }
    // A millimetre: rounding in the quotient must not cost a mark.
    let whole = ((length + Length::metres(1e-3)) / every).floor();
    Some((whole, (length - every * whole).max(Length::ZERO)))
}

/// How a rule and the physics part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parting {
    /// Within a metre or a twentieth of one another: nobody lays rode out more nearly.
    Agree,
    /// The physics asks more.
    PhysicsAsksMore,
    /// The rule asks more.
    RuleAsksMore,
}

/// Where a rule and the physics part.
pub fn parting(rule: Length, physics: Length) -> Parting {
    let near = Length::metres(1.0).max(rule / 20.0);
    if (rule - physics).abs() <= near {
        Parting::Agree
    } else if rule < physics {
        Parting::PhysicsAsksMore
    } else {
        Parting::RuleAsksMore
    }
}

/// The same in words, with why: "4:1 gives 40 m; the physics asks 52 m tonight because …".
pub fn parting_in_words(figure: &RuleFigure, physics: Length) -> String {
    let RuleFigure { rule, from, shallow, .. } = figure;
    let asked = physics.as_metres();
    let rule_says = if *shallow {
        format!("{}: the least of {:.0} m in shallow water", rule.name, from.as_metres())
    } else {
        format!("{}: {:.0}:1 gives {:.0} m", rule.name, rule.from, from.as_metres())
    };
    match parting(*from, physics) {
        Parting::Agree => format!("{rule_says}; the physics asks {asked:.0} m, the same"),
        Parting::PhysicsAsksMore => format!(
            "{rule_says}; the physics asks {asked:.0} m because the rule knows neither tonight's load nor what the \
             rode weighs"
        ),
        Parting::RuleAsksMore => format!(
            "{rule_says}; the physics would do with {asked:.0} m because the load is light for so much weight of rode"
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice, no source: seven metres on a sounder that reads from the keel, two metres of keel, the chain
    // leaving one metre above the water: ten metres, at four to one forty, four of the ten-metre marks.
    #[test]
    fn ten_metres_at_four_to_one_are_four_ten_metre_marks() {
        let water = Length::metres(7.0) + Length::metres(2.0);
        let height = height_to_roller(water, Length::metres(1.0));
        assert!((height.as_metres() - 10.0).abs() < 1e-12);
        let fair = rules_for(RodeKind::AllChain, height)[1];
        assert!((fair.from.as_metres() - 40.0).abs() < 1e-12);
        let (marks, beyond) = marks_out(fair.from, Length::metres(10.0)).unwrap();
        assert!((marks - 4.0).abs() < 1e-12 && beyond.as_metres() < 1e-9);
    }

    // Common practice, no source.
    #[test]
    fn fifty_feet_of_rode_from_ten_feet_up_are_five_to_one() {
        assert!((scope(Length::feet(50.0), Length::feet(10.0)).unwrap() - 5.0).abs() < 1e-12);
        assert!(scope(Length::metres(30.0), Length::ZERO).is_none());
    }

    // Common practice, no source: three to one is a lunch stop, four the fair-weather least on chain, six to ten for
    // storm, six to eight with rope.
    #[test]
    fn every_rode_has_its_own_rules_and_the_storm_s() {
        let scopes = |kind| -> Vec<(f64, f64)> {
            rules_for(kind, Length::metres(10.0))
                .iter()
                .map(|figure| (figure.rule.from, figure.rule.to))
                .collect()
        };
        assert_eq!(scopes(RodeKind::AllChain), [(3.0, 3.0), (4.0, 4.0), (6.0, 10.0)]);
        assert_eq!(scopes(RodeKind::ChainAndRope), [(6.0, 8.0), (6.0, 10.0)]);
        assert!(rules_for(RodeKind::AllChain, Length::metres(f64::NAN)).is_empty());
    }

    #[test]
    fn in_very_shallow_water_the_least_rode_stands_for_the_scope() {
        let lunch = rules_for(RodeKind::AllChain, Length::metres(3.0))[0];
        assert!(lunch.shallow && lunch.from == LEAST_RODE);
    }

    #[test]
    fn the_words_give_both_figures_and_the_reason() {
        let fair = rules_for(RodeKind::AllChain, Length::metres(10.0))[1];
        let words = parting_in_words(&fair, Length::metres(52.0));
        assert!(words.contains("4:1 gives 40 m") && words.contains("52 m because"), "{words}");
        assert_eq!(parting(fair.from, Length::metres(41.5)), Parting::Agree);
        assert_eq!(parting(fair.from, Length::metres(30.0)), Parting::RuleAsksMore);
    }
}
