//! Facts of what is not aboard, or goes, or is not believed.

use super::*;

/// What is found on samples made of those of a night, until a second.
fn found(night: &Night, until_s: f64, make: impl Fn(f64, Sample) -> Sample) -> Vec<Found> {
    let reach = Reach::of(&line(), Length::metres(7.2)).unwrap();
    let sample = |t_s: f64| make(t_s, night.sample(t_s, &reach));
    let mut detector = Detector::new(&given(night.drop, night.begins), origin(), &sample(0.0));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "samples of a night")]
    let samples = (until_s / night.seconds) as u32;
    (1..=samples).map(|i| detector.step(&sample(f64::from(i) * night.seconds))).collect()
}

/// The same sample of the antenna, its heading not believed.
fn without_heading(sample: &Sample) -> Sample {
    let aft = Length::metres(COMMON_ANTENNA * COMMON_BOAT_M);
    let place = sample.heading.map_or(sample.place, |bow| sample.place + Offset::along(bow.reversed(), aft));
    let left_out = LeftOut { heading: Some(Unsound::Leapt), wind: None };
    Sample { place, at_bow: false, heading: None, left_out, ..*sample }
}

#[test]
fn a_heading_that_goes_in_the_night_moves_no_anchor() {
    let lost = |t_s: f64, sample: Sample| {
        // From the bow to the antenna is no way that she went.
        let went = sample.went.filter(|_| 1.0 < (t_s - 7200.0).abs());
        if t_s < 7200.0 { sample } else { Sample { went, ..without_heading(&sample) } }
    };
    let all = found(&Night::lying(still), 14_400.0, lost);
    let most = all.iter().map(|found| found.evidence).fold(0.0, f64::max);
    assert!(most < 0.2, "{most}");
    assert_eq!(all.last().unwrap().left_out.heading, Some(Unsound::Leapt), "and it is told");
}

#[test]
fn a_wind_that_goes_in_the_night_moves_no_anchor() {
    let lost = |t_s: f64, sample: Sample| Sample { wind: sample.wind.filter(|_| t_s < 7200.0), ..sample };
    let all = found(&Night::lying(still), 14_400.0, lost);
    let most = all.iter().map(|found| found.evidence).fold(0.0, f64::max);
    // The reach under the load of a common night is a metre less than under this wind's.
    assert!(most < 0.5, "{most}");
}

/// From 2 h on she is carried off downwind at a metre a second, as far as 45 m.
fn carried_off(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    (at_edge(reach) + (t_s - 7200.0).clamp(0.0, 45.0), 0.0, WIND_MS)
}

#[test]
fn without_doppler_nothing_is_called_later_than_by_the_circle() {
    let all = found(&Night::lying(carried_off), 9000.0, |_, sample| Sample { went: None, ..sample });
    let first = |which: fn(&Found) -> bool| all.iter().position(which).unwrap();
    assert!(first(|found| found.dragging) <= first(|found| found.outside_circle));
}

/// She lies on one side of her anchor for an hour, goes round it in another, and lies on the other side.
fn half_round(t_s: f64, reach: &Reach) -> (f64, f64, f64) {
    let (sin, cos) = (((t_s - 3600.0) / 3600.0).clamp(0.0, 1.0) * core::f64::consts::PI).sin_cos();
    (at_edge(reach) * cos, at_edge(reach) * sin, WIND_MS)
}

#[test]
fn where_nothing_tells_the_bearing_the_circle_is_about_herself() {
    let night = Night { drop: false, ..Night::lying(half_round) };
    let bare = |_: f64, sample: Sample| Sample { wind: None, ..without_heading(&sample) };
    assert!(found(&night, 10_800.0, bare).iter().all(|found| !found.outside_circle));
}
