//! What `windrode watch` and `windrode serve` are both told: where to hear, and how to wake the crew.

use jiff::SignedDuration;

use super::arguments::duration;
use crate::feed::Spec;
use crate::watchkeeper::RingBy;
use crate::watchkeeper::keep::FarEnds;

/// Where to hear, and how to wake the crew.
#[derive(clap::Args, Clone, Debug)]
pub(super) struct Ringing {
    /// Where instruments are heard; several may be given. tcp://host:port, tcp-listen://address:port,
    /// udp://address:port, serial:///dev/ttyUSB0?baud=4800, file://path?pace=10, gpsd://host, - (standard input).
    #[arg(long, value_name = "FEED", value_parser = Spec::parse)]
    pub(super) feed: Vec<Spec>,
    /// Rings below this voltage of the service battery.
    #[arg(long, value_name = "VOLTS")]
    pub(super) battery: Option<f64>,
    /// A command that is run at each change of an alarm, with the alarm in its environment.
    #[arg(long, value_name = "COMMAND")]
    pub(super) command: Option<String>,
    /// A far end that each change of an alarm is posted to.
    #[arg(long, value_name = "URL")]
    webhook: Option<String>,
    /// A far end that is told every minute that the watch lives, so that silence rings there.
    #[arg(long, value_name = "URL")]
    heartbeat: Option<String>,
    /// For how long the far end is to believe a beat.
    #[arg(long, value_name = "TIME", value_parser = duration, default_value = "5min")]
    heartbeat_deadline: SignedDuration,
    /// For how long an alarm may ring unheard before it grows louder and goes to the second command and far end.
    #[arg(long, value_name = "TIME", value_parser = duration, default_value = "3min")]
    escalate_after: SignedDuration,
    /// The second command.
    #[arg(long, value_name = "COMMAND")]
    escalate_command: Option<String>,
    /// The second far end.
    #[arg(long, value_name = "URL")]
    escalate_webhook: Option<String>,
    /// No sound from this computer.
    #[arg(long)]
    pub(super) no_sound: bool,
}

impl Ringing {
    /// One feed, and nobody but this computer to be woken.
    pub(super) fn of_feed(feed: Spec, no_sound: bool) -> Self {
        Self {
            feed: vec![feed],
            battery: None,
            command: None,
            webhook: None,
            heartbeat: None,
            heartbeat_deadline: SignedDuration::from_mins(5),
            escalate_after: SignedDuration::from_mins(3),
            escalate_command: None,
            escalate_webhook: None,
            no_sound,
        }
    }

    /// What is wrong with it.
    pub(super) fn problems(&self) -> Vec<String> {
        let mut problems = Vec::new();
        if 1 < self.feed.iter().filter(|feed| **feed == Spec::StandardInput).count() {
            problems.push("--feed -: standard input can be one feed only".to_owned());
        }
        if self.battery.is_some_and(|volts| !(0.0 < volts && volts.is_finite())) {
            problems.push("--battery: wanted volts, more than nothing".to_owned());
        }
        for (flag, url) in [
            ("--webhook", &self.webhook),
            ("--escalate-webhook", &self.escalate_webhook),
            ("--heartbeat", &self.heartbeat),
        ] {
            if url.as_ref().is_some_and(|url| !(url.starts_with("http://") || url.starts_with("https://"))) {
                problems.push(format!("{flag}: wanted an address that begins with http:// or https://"));
            }
        }
        problems
    }

    /// Where messages go.
    pub(super) fn far_ends(&self) -> FarEnds {
        FarEnds {
            webhook: self.webhook.clone(),
            escalate_webhook: self.escalate_webhook.clone(),
            deadline: self.heartbeat_deadline,
            escalate_after: self.escalate_after,
        }
    }

    /// How the crew are woken.
    pub(super) fn ring_by(&self) -> RingBy {
        RingBy {
            no_sound: self.no_sound,
            command: self.command.clone(),
            escalate_command: self.escalate_command.clone(),
            heartbeat: self.heartbeat.clone(),
        }
    }
}
