//! The sounds themselves, made here: no file that could be missing.
//!
//! A sleeper is woken by what changes and by what is low: a 520 Hz square wave wakes more people than a high sine, the
//! hard of hearing and drinkers among them (D. Bruck and I. Thomas, "Waking effectiveness of alarms for the hard of
//! hearing", Fire Protection Research Foundation, 2007; from memory). So the alarms are 520 Hz with odd harmonics, in
//! the three-pulse pattern that means danger (ISO 8201: three pulses of 0.5 s, 0.5 s apart, then 1.5 s of silence; from
//! memory). What is less urgent is softer, shorter, and rarer.
//!
//! ```text
//! s(t) = A · Σ sin(2π k f t)/k / Σ 1/k,  k = 1, 3, 5,   each pulse faded over 10 ms at either end
//! ```

use std::f64::consts::TAU;

use super::Urgency;

/// Samples a second.
const RATE_HZ: u32 = 22_050;
/// Of the alarms, Hz.
const LOW_HZ: f64 = 520.0;
/// Fade of a pulse at either end, s, without which it clicks.
const FADE_S: f64 = 0.01;

/// A pulse: how long it sounds and how long it is still after that, s, and its pitch, Hz.
type Pulse = (f64, f64, f64);

/// Loudness, from nothing to 1, and pulses.
const fn pattern(urgency: Urgency) -> (f64, &'static [Pulse]) {
    match urgency {
        Urgency::Notice => (0.25, &[(0.3, 0.2, 660.0)]),
        Urgency::Caution => (0.5, &[(0.4, 0.2, LOW_HZ), (0.4, 5.0, LOW_HZ)]),
        Urgency::Alarm => (0.8, &[(0.5, 0.5, LOW_HZ), (0.5, 0.5, LOW_HZ), (0.5, 1.5, LOW_HZ)]),
        Urgency::Escalated => {
            (1.0, &[(0.5, 0.1, LOW_HZ), (0.5, 0.1, 780.0), (0.5, 0.1, LOW_HZ), (0.5, 0.1, 780.0)])
        }
    }
}

/// How long one round of it is, s.
pub(crate) fn length_s(urgency: Urgency) -> f64 {
    pattern(urgency).1.iter().map(|(on, off, _)| on + off).sum()
}

/// One round as a WAV file: one channel of 16-bit samples (RIFF/WAVE, Microsoft and IBM 1991).
pub(crate) fn wav(urgency: Urgency) -> Vec<u8> {
    let samples = samples(urgency);
    let data_bytes = u32::try_from(samples.len() * 2).unwrap_or(u32::MAX);
    let mut out = Vec::with_capacity(44 + samples.len() * 2);
    out.extend(b"RIFF");
    out.extend((36 + data_bytes).to_le_bytes());
    out.extend(b"WAVEfmt ");
    out.extend(16_u32.to_le_bytes());
    // PCM, one channel.
    out.extend(1_u16.to_le_bytes());
    out.extend(1_u16.to_le_bytes());
    out.extend(RATE_HZ.to_le_bytes());
    out.extend((RATE_HZ * 2).to_le_bytes());
    out.extend(2_u16.to_le_bytes());
    out.extend(16_u16.to_le_bytes());
    out.extend(b"data");
    out.extend(data_bytes.to_le_bytes());
    out.extend(samples.into_iter().flat_map(i16::to_le_bytes));
    out
}

fn samples(urgency: Urgency) -> Vec<i16> {
    let (loudness, pulses) = pattern(urgency);
    pulses.iter().flat_map(|&(on_s, off_s, pitch_hz)| pulse(loudness, on_s, off_s, pitch_hz)).collect()
}

fn pulse(loudness: f64, on_s: f64, off_s: f64, pitch_hz: f64) -> impl Iterator<Item = i16> {
    let rate = f64::from(RATE_HZ);
    // A few seconds at 22 kHz: far within range.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds of samples")]
    let count = ((on_s + off_s) * rate) as u32;
    (0..count).map(move |index| {
        let t_s = f64::from(index) / rate;
        let fade = (t_s.min(on_s - t_s) / FADE_S).clamp(0.0, 1.0);
        let wave = [1.0, 3.0, 5.0].map(|k: f64| (TAU * k * pitch_hz * t_s).sin() / k).iter().sum::<f64>();
        let all = 1.0 + 1.0 / 3.0 + 1.0 / 5.0;
        #[expect(
            clippy::cast_possible_truncation,
            reason = "within ±32767: loudness, fade and wave/all are at most 1"
        )]
        let sample = (loudness * fade * wave / all * f64::from(i16::MAX)) as i16;
        sample
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const ALL: [Urgency; 4] = [Urgency::Notice, Urgency::Caution, Urgency::Alarm, Urgency::Escalated];

    // RIFF/WAVE: the length at byte 4 is that of the file less 8, the length at 40 that of the samples.
    #[test]
    fn the_lengths_in_the_head_are_those_of_the_file() {
        for urgency in ALL {
            let wav = wav(urgency);
            let at = |index: usize| u32::from_le_bytes(wav[index..index + 4].try_into().unwrap());
            assert_eq!(at(4) as usize, wav.len() - 8);
            assert_eq!(at(40) as usize, wav.len() - 44);
            let told_s = f64::from(at(40)) / 2.0 / f64::from(RATE_HZ);
            assert!((told_s - length_s(urgency)).abs() < 0.001);
        }
    }

    #[test]
    fn what_is_more_urgent_is_louder_and_sounds_more_of_the_time() {
        let power = |urgency| {
            let samples = samples(urgency);
            samples.iter().map(|&it| f64::from(it).powi(2)).sum::<f64>() / samples.len() as f64
        };
        assert!(power(Urgency::Caution) < power(Urgency::Alarm));
        assert!(power(Urgency::Alarm) < power(Urgency::Escalated));
        let peak = |urgency| samples(urgency).into_iter().map(i16::unsigned_abs).max();
        assert!(peak(Urgency::Notice) < peak(Urgency::Caution));
    }

    #[test]
    fn the_pitch_is_what_it_says() {
        // Rising zero crossings of half a second.
        let first: Vec<i16> = samples(Urgency::Alarm).into_iter().take(11_025).collect();
        let rising = first.windows(2).filter(|pair| pair[0] <= 0 && 0 < pair[1]).count();
        assert!((259..=261).contains(&rising), "{rising}");
    }
}
