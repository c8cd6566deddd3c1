//! Devices: how a phone comes to be trusted, by what it is known, and how it is struck off.
//!
//! Somebody who may act makes a code, which the boat's screen shows as eight digits and as a square to be photographed.
//! It is good for five minutes, once, and for the role that it was made for. Whoever tells it is given a secret of 256
//! bits in a cookie, of which only the digest is kept here. Wrong codes are taken five a minute for all devices
//! together: guessing one of the hundred million then takes a lifetime (5 × 5 min of 10⁸: one in four million).

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use axum::Extension;
use axum::body::Body;
use axum::extract::{Path as At, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use ring::digest::{SHA256, digest};
use ring::rand::{SecureRandom, SystemRandom};
use serde::Deserialize;
use serde_json::json;

use super::asked::{self, off};
use super::guard::Caller;
use super::refusal::{Json, Refusal};
use super::{Server, Shared};
use crate::append::append;
use crate::clock;
use crate::store::papers::{Device, Role};
use crate::words::plain;

/// How long a code is good.
pub(crate) const CODE_VALID: Duration = Duration::from_mins(5);
/// Codes that stand at a time.
const MOST_CODES: usize = 8;
/// Wrong codes a minute, for all devices together.
const WRONG_CODES: usize = 5;
/// Devices that may be paired.
const MOST_DEVICES: usize = 100;
/// The longest name of a device.
const LONGEST_NAME: usize = 60;
/// How long a cookie is kept by the device, s: a season and a winter.
const COOKIE_S: u64 = 400 * 24 * 3600;

/// A code that stands.
#[derive(Clone, Debug)]
struct Code {
    digits: String,
    token: String,
    role: Role,
    until: Instant,
}

/// A code as it is shown.
#[derive(Clone, Debug)]
pub(crate) struct ShownCode {
    /// Eight digits.
    pub(crate) digits: String,
    /// 128 bits, for the address.
    pub(crate) token: String,
}

#[derive(Debug, Default)]
struct Doors {
    codes: Vec<Code>,
    wrong: Vec<Instant>,
    /// By the digest of their secret.
    known: BTreeMap<Vec<u8>, Device>,
}

/// Who may come in.
#[derive(Debug, Default)]
pub(crate) struct Devices {
    doors: Mutex<Doors>,
}

/// Random bytes as hexadecimal digits.
fn random_hex(bytes: usize) -> Result<String, Refusal> {
    let mut random = vec![0; bytes];
    SystemRandom::new().fill(&mut random).map_err(|_| Refusal::ours("the system gives no random numbers"))?;
    Ok(hex_of(&random))
}

fn hex_of(bytes: &[u8]) -> String {
    let mut hex = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        append(&mut hex, format_args!("{byte:02x}"));
    }
    hex
}

fn random_digits() -> Result<String, Refusal> {
    let mut random = [0; 8];
    SystemRandom::new().fill(&mut random).map_err(|_| Refusal::ours("the system gives no random numbers"))?;
    // 2^64 is so many times 10^8 that no digit comes up more often than another by 1 in 10^11.
    Ok(format!("{:08}", u64::from_le_bytes(random) % 100_000_000))
}

/// The digest by which a secret is kept.
pub(crate) fn digest_of(secret: &str) -> Vec<u8> {
    digest(&SHA256, secret.as_bytes()).as_ref().to_vec()
}

impl Devices {
    fn lock(&self) -> MutexGuard<'_, Doors> {
        self.doors.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The device that holds a secret, from memory, or from the record the first time.
    pub(crate) fn of(&self, server: &Server, secret: &str) -> Option<Device> {
        let digest = digest_of(secret);
        if let Some(device) = self.lock().known.get(&digest) {
            return Some(device.clone());
        }
        let device = server.papers.device_of(&digest).ok().flatten()?;
        let mut doors = self.lock();
        if MOST_DEVICES <= doors.known.len() {
            doors.known.clear();
        }
        doors.known.insert(digest, device.clone());
        Some(device)
    }

    /// Makes a code for a role.
    ///
    /// # Errors
    /// Too many stand already.
    pub(crate) fn code(&self, role: Role) -> Result<ShownCode, Refusal> {
        let shown = ShownCode { digits: random_digits()?, token: random_hex(16)? };
        let now = clock::stopwatch();
        let mut doors = self.lock();
        doors.codes.retain(|code| now < code.until);
        if MOST_CODES <= doors.codes.len() {
            return Err(Refusal::busy("too many codes stand already: let them run out"));
        }
        let until = now + CODE_VALID;
        doors.codes.push(Code { digits: shown.digits.clone(), token: shown.token.clone(), role, until });
        Ok(shown)
    }

    /// Takes a code; the role that it was made for.
    fn redeem(&self, told: &str) -> Result<Role, Refusal> {
        let now = clock::stopwatch();
        let mut doors = self.lock();
        doors.codes.retain(|code| now < code.until);
        doors.wrong.retain(|wrong| now.duration_since(*wrong) < Duration::from_mins(1));
        if WRONG_CODES <= doors.wrong.len() {
            let text = "too many wrong codes were told: wait a minute";
            return Err(Refusal::new(StatusCode::TOO_MANY_REQUESTS, text));
        }
        if let Some(place) = doors.codes.iter().position(|code| code.digits == told || code.token == told) {
            return Ok(doors.codes.swap_remove(place).role);
        }
        doors.wrong.push(now);
        let text = "is no code that stands (make a new one on the boat's screen)";
        Err(Refusal::at(StatusCode::FORBIDDEN, "code", text))
    }
}

/// A code is wanted for a role.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wanted {
    role: String,
}

/// Makes a code.
pub(crate) async fn make_code(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
    body: Body,
) -> Result<Json, Refusal> {
    let wanted: Wanted = asked::json(body).await?;
    let role = Role::of(&wanted.role).ok_or_else(|| Refusal::unfit("role", "wanted look or act"))?;
    let code = server.devices.code(role)?;
    let url = format!("{}/pair#{}", server.address_for(&caller), code.token);
    Ok(Json(json!({
        "version": 1,
        "code": code.digits,
        "url": url,
        "qr_svg": square(&url),
        "valid_s": CODE_VALID.as_secs(),
    })))
}

/// An address as a square to be photographed; nothing where it is too long for one.
fn square(url: &str) -> Option<String> {
    let code = qrcode::QrCode::new(url.as_bytes()).ok()?;
    Some(code.render::<qrcode::render::svg::Color<'_>>().min_dimensions(200, 200).build())
}

/// An address as a square on a terminal, dark on light, two rows of it a line.
pub(crate) fn square_on_terminal(url: &str) -> Option<String> {
    let code = qrcode::QrCode::new(url.as_bytes()).ok()?;
    Some(code.render::<qrcode::render::unicode::Dense1x2>().build())
}

/// Somebody tells a code.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Pairing {
    code: Option<String>,
    token: Option<String>,
    name: String,
}

/// Pairs a device.
pub(crate) async fn pair(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
    body: Body,
) -> Result<Response, Refusal> {
    let pairing: Pairing = asked::json(body).await?;
    let name = plain(pairing.name.trim()).into_owned();
    if name.is_empty() || LONGEST_NAME < name.chars().count() {
        return Err(Refusal::unfit("name", format!("wanted a name of {LONGEST_NAME} letters at most")));
    }
    let told = match (pairing.code, pairing.token) {
        (Some(code), None) => code.replace([' ', '-'], ""),
        (None, Some(token)) => token,
        (_, _) => return Err(Refusal::bad("wanted code or token, one of them")),
    };
    off(move || {
        if MOST_DEVICES <= server.papers.devices()?.len() {
            return Err(Refusal::busy(format!(
                "{MOST_DEVICES} devices are paired already (strike some off)"
            )));
        }
        let role = server.devices.redeem(&told)?;
        let secret = random_hex(32)?;
        let device = Device { id: random_hex(6)?, name, role, paired: server.clock.now() };
        server.papers.pair(&device, &digest_of(&secret))?;
        server.tell_changed("devices", &device.id, 0);
        let secure = if caller.door.tls { "; Secure" } else { "" };
        let cookie = format!(
            "{}={secret}; Path=/; Max-Age={COOKIE_S}; HttpOnly; SameSite=Strict{secure}",
            caller.door.cookie()
        );
        let view = json!({ "version": 1, "device": device.id, "name": device.name, "role": role.word() });
        Ok((StatusCode::CREATED, [(header::SET_COOKIE, cookie)], Json(view)).into_response())
    })
    .await
}

/// Who asks, and what time it is aboard.
pub(crate) async fn me(State(server): State<Shared>, Extension(caller): Extension<Caller>) -> Json {
    Json(json!({
        "version": 1,
        "role": caller.role.map_or("none", Role::word),
        "device": caller.device.as_ref().map(|device| device.id.clone()),
        "name": caller.name(),
        "boat_time": format!("{:.3}", server.clock.now()),
        "program": env!("CARGO_PKG_VERSION"),
        "speed": server.speed,
        "demo": server.demo,
    }))
}

/// All devices.
pub(crate) async fn list(
    State(server): State<Shared>,
    Extension(caller): Extension<Caller>,
) -> Result<Json, Refusal> {
    off(move || {
        let own = caller.device.map(|device| device.id);
        let view = |device: &Device| {
            json!({
                "id": device.id,
                "name": device.name,
                "role": device.role.word(),
                "paired": format!("{:.3}", device.paired),
                "this": own.as_deref() == Some(&device.id),
                "looks": server.streams.of(&device.id),
            })
        };
        let all: Vec<_> = server.papers.devices()?.iter().map(view).collect();
        Ok(Json(json!({ "version": 1, "devices": all })))
    })
    .await
}

/// Strikes a device off, at once.
pub(crate) async fn strike_off(State(server): State<Shared>, At(id): At<String>) -> Result<Json, Refusal> {
    off(move || {
        if !server.papers.strike_off(&id)? {
            return Err(Refusal::missing("such device"));
        }
        server.devices.lock().known.retain(|_, device| device.id != id);
        // Its streams end by this.
        server.tell_changed("devices", &id, -1);
        Ok(Json(json!({ "version": 1, "id": id })))
    })
    .await
}

/// The address by which this computer is reached on the network, told by which way a packet would go: none is sent.
pub(crate) fn own_address() -> Option<IpAddr> {
    // An address that is set aside for documents (RFC 5737) and reached by nobody.
    let socket = std::net::UdpSocket::bind("0.0.0.0:0").ok()?;
    socket.connect("192.0.2.1:9").ok()?;
    socket.local_addr().ok().map(|address| address.ip()).filter(|ip| !ip.is_unspecified())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_good_once_and_five_wrong_ones_close_the_door_for_a_minute() {
        let devices = Devices::default();
        let code = devices.code(Role::Look).expect("a code");
        assert_eq!((code.digits.len(), code.token.len()), (8, 32));
        assert_eq!(devices.redeem(&code.digits), Ok(Role::Look));
        assert!(devices.redeem(&code.token).is_err());
        let good = devices.code(Role::Act).expect("a code");
        for _ in 0..WRONG_CODES - 1 {
            assert!(devices.redeem("00000000x").is_err());
        }
        assert!(devices.redeem(&good.digits).is_err(), "even the right one must wait");
    }

    #[test]
    fn digests_are_those_of_sha_256() {
        // FIPS 180-4's own example: the digest of "abc".
        assert_eq!(
            hex_of(&digest_of("abc")),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
    }
}
