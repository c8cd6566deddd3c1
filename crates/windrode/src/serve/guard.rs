//! Who may ask what: names by which the boat is called, pages that may ask, secrets, roles, rates; and what every
//! answer tells the browser about what it may do.
//!
//! A foreign page in a browser on board can make that browser send requests here, and a foreign name can be made to
//! point here. So a request must call the boat by a name that is hers, or by a number; and what changes anything must
//! come from a page of hers, or from no page at all.

use std::collections::BTreeMap;
use std::net::{IpAddr, SocketAddr};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Instant;

use axum::extract::{ConnectInfo, Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::Shared;
use super::refusal::Refusal;
use crate::clock;
use crate::store::papers::{Device, Role};
use crate::telling::{self, Speaker};

/// Requests a second from one address, in the long run: a finger that drags asks some thirty.
const RATE_HZ: f64 = 60.0;
/// Requests that may come at once: a page with all its files, several tabs.
const BURST: f64 = 300.0;
/// Addresses whose rate is followed.
const MOST_ADDRESSES: usize = 2000;

/// A way in.
#[derive(Clone, Debug)]
pub(crate) struct Door {
    /// Only this computer comes by it: nobody needs pairing.
    pub(crate) loopback: bool,
    /// It speaks TLS.
    pub(crate) tls: bool,
    /// Names by which the boat may be called, in lower case.
    pub(crate) names: Arc<[String]>,
}

impl Door {
    /// The cookie's name. Under TLS it is one that plain HTTP cannot set (RFC 6265bis §4.1.3.2).
    pub(crate) const fn cookie(&self) -> &'static str {
        if self.tls { "__Host-windrode_device" } else { "windrode_device" }
    }

    fn answers_to(&self, host: &str) -> bool {
        let name = host_of(host).to_ascii_lowercase();
        if let Ok(ip) = name.trim_matches(['[', ']']).parse::<IpAddr>() {
            return !self.loopback || ip.is_loopback();
        }
        name == "localhost" || self.names.contains(&name)
    }
}

/// A host without its port.
fn host_of(host: &str) -> &str {
    match host.rfind(']') {
        Some(end) => host.get(..=end).unwrap_or(host),
        None => host.split_once(':').map_or(host, |(name, _)| name),
    }
}

/// Who asks.
#[derive(Clone, Debug)]
pub(crate) struct Caller {
    /// The way in.
    pub(crate) door: Door,
    /// The device, where it was paired.
    pub(crate) device: Option<Device>,
    /// What it may do.
    pub(crate) role: Option<Role>,
    /// By which name it calls the boat.
    pub(crate) host: String,
}

impl Caller {
    /// A name for people.
    pub(crate) fn name(&self) -> Option<String> {
        match &self.device {
            Some(device) => Some(device.name.clone()),
            None => self.door.loopback.then(|| telling::HERE_NAME.to_owned()),
        }
    }
    /// Who says what it says to the watch.
    pub(crate) fn speaker(&self) -> Speaker {
        Speaker { device: self.id(), name: self.name().unwrap_or_else(|| "somebody".to_owned()) }
    }
    /// A name for programs.
    pub(crate) fn id(&self) -> String {
        self.device.as_ref().map_or_else(|| telling::HERE.to_owned(), |device| device.id.clone())
    }
}

/// Rates by address.
#[derive(Debug, Default)]
pub(crate) struct Rates {
    left: Mutex<BTreeMap<IpAddr, (f64, Instant)>>,
}

impl Rates {
    /// Whether an address may ask once more at this instant.
    fn allows(&self, address: IpAddr, now: Instant) -> bool {
        let mut all = self.left.lock().unwrap_or_else(PoisonError::into_inner);
        if MOST_ADDRESSES <= all.len() && !all.contains_key(&address) {
            all.retain(|_, (_, last)| now.duration_since(*last).as_secs_f64() < BURST / RATE_HZ);
        }
        let (left, last) = all.entry(address).or_insert((BURST, now));
        *left = (*left + now.duration_since(*last).as_secs_f64() * RATE_HZ).min(BURST);
        *last = now;
        let allowed = 1.0 <= *left;
        if allowed {
            *left -= 1.0;
        }
        allowed
    }
}

/// What a request must show before anything else of it is looked at.
pub(crate) async fn at_the_door(
    State((server, door)): State<(Shared, Door)>,
    ConnectInfo(from): ConnectInfo<SocketAddr>,
    mut request: Request,
    next: Next,
) -> Response {
    let api = request.uri().path().starts_with("/api/");
    let answer = match looked_over(&server, &door, from, &request) {
        Ok(caller) => {
            request.extensions_mut().insert(caller);
            next.run(request).await
        }
        Err(refusal) => refusal.into_response(),
    };
    with_headers(answer, api)
}

fn looked_over(server: &Shared, door: &Door, from: SocketAddr, request: &Request) -> Result<Caller, Refusal> {
    // Whoever sits at this computer can load it in a hundred other ways.
    if !door.loopback && !server.rates.allows(from.ip(), clock::stopwatch()) {
        return Err(Refusal::new(StatusCode::TOO_MANY_REQUESTS, "too many requests: slower"));
    }
    let headers = request.headers();
    let told = headers.get(header::HOST).and_then(|host| host.to_str().ok());
    let authority = request.uri().authority().map(axum::http::uri::Authority::as_str);
    let host = authority.or(told).unwrap_or_default();
    if !door.answers_to(host) || told.is_some_and(|told| !door.answers_to(told)) {
        let text = "is no name of this boat (call her by her number, or give the name with --name)";
        return Err(Refusal::at(StatusCode::FORBIDDEN, "Host", text));
    }
    if !comes_from_us(headers, request.method(), door, host, request.uri().path()) {
        let text = "another site's page asks: nothing is answered";
        return Err(Refusal::at(StatusCode::FORBIDDEN, "Origin", text));
    }
    let device = cookie(headers, door.cookie()).and_then(|secret| server.devices.of(server, secret));
    let role = if door.loopback { Some(Role::Act) } else { device.as_ref().map(|device| device.role) };
    Ok(Caller { door: door.clone(), device, role, host: host.to_owned() })
}

fn comes_from_us(headers: &HeaderMap, method: &Method, door: &Door, host: &str, path: &str) -> bool {
    let text = |name: HeaderName| headers.get(name).map(|value| value.to_str().unwrap_or("unreadable"));
    let site = text(HeaderName::from_static("sec-fetch-site"));
    let ours = site.is_none_or(|site| site == "same-origin" || site == "none");
    if *method == Method::GET || *method == Method::HEAD {
        // A link on another page may lead here; its scripts may not read what programs are told.
        return ours || !path.starts_with("/api/");
    }
    let own = format!("{}://{host}", if door.tls { "https" } else { "http" });
    ours && text(header::ORIGIN).is_none_or(|origin| origin.eq_ignore_ascii_case(&own))
}

fn cookie<'a>(headers: &'a HeaderMap, name: &str) -> Option<&'a str> {
    let all = headers.get_all(header::COOKIE).into_iter().filter_map(|value| value.to_str().ok());
    all.flat_map(|line| line.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find_map(|(known, value)| (known == name).then_some(value))
}

/// What the page may load: nothing but from the boat herself.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                      connect-src 'self'; font-src 'self'; media-src 'self'; manifest-src 'self'; worker-src 'self'; \
                      frame-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'self'";

fn with_headers(mut answer: Response, api: bool) -> Response {
    let headers = answer.headers_mut();
    let always = [
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in always {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(POLICY));
    if api {
        headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    }
    answer
}

/// Lets through only who has a role.
pub(crate) async fn wants(State(role): State<Role>, request: Request, next: Next) -> Response {
    let held = request.extensions().get::<Caller>().and_then(|caller| caller.role);
    match held {
        Some(held) if role <= held => next.run(request).await,
        Some(_) => {
            let text = "this device may look and not act (pair it anew with a code for act)";
            Refusal::new(StatusCode::FORBIDDEN, text).into_response()
        }
        None => {
            let text = "this device is not paired (tell the code that the boat's screen shows)";
            Refusal::new(StatusCode::UNAUTHORIZED, text).into_response()
        }
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    fn door(loopback: bool) -> Door {
        Door { loopback, tls: false, names: Arc::from(["boat.local".to_owned()]) }
    }

    #[test]
    fn the_boat_is_called_by_her_names_or_by_number() {
        let net = door(false);
        for host in ["192.168.1.7:8470", "192.168.1.7", "[fe80::1]:8470", "localhost:1", "BOAT.local:8470"] {
            assert!(net.answers_to(host), "{host}");
        }
        for host in ["", "evil.example", "192.168.1.7.evil.example:8470", "boat.local.evil.example"] {
            assert!(!net.answers_to(host), "{host}");
        }
        let own = door(true);
        assert!(own.answers_to("127.0.0.1:1") && own.answers_to("[::1]:1") && own.answers_to("localhost"));
        assert!(!own.answers_to("192.168.1.7:8470"));
    }

    #[test]
    fn what_changes_anything_comes_from_a_page_of_ours_or_from_none() {
        let asks = |method: Method, pairs: &[(&'static str, &'static str)]| {
            let mut headers = HeaderMap::new();
            for (name, value) in pairs {
                headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
            }
            comes_from_us(&headers, &method, &door(false), "10.0.0.2:8470", "/api/v1/watch")
        };
        assert!(asks(Method::POST, &[]));
        assert!(asks(Method::POST, &[("origin", "http://10.0.0.2:8470"), ("sec-fetch-site", "same-origin")]));
        for origin in ["http://10.0.0.2", "https://10.0.0.2:8470", "http://evil.example", "null"] {
            let mut headers = HeaderMap::new();
            headers.insert(header::ORIGIN, HeaderValue::from_static(origin));
            assert!(!comes_from_us(&headers, &Method::POST, &door(false), "10.0.0.2:8470", "/api/v1/watch"));
        }
        assert!(!asks(Method::POST, &[("sec-fetch-site", "cross-site")]));
        assert!(!asks(Method::GET, &[("sec-fetch-site", "cross-site")]));
        assert!(asks(Method::GET, &[("sec-fetch-site", "none")]));
    }

    #[test]
    fn an_address_that_asks_too_often_waits() {
        let rates = Rates::default();
        let (one, other) = (IpAddr::from([10, 0, 0, 1]), IpAddr::from([10, 0, 0, 2]));
        let now = clock::stopwatch();
        let granted = (0..1000).filter(|_| rates.allows(one, now)).count();
        assert_eq!(granted, 300);
        assert!(rates.allows(other, now));
        assert!(rates.allows(one, now + Duration::from_secs(1)));
    }

    #[test]
    fn a_cookie_is_found_among_others() {
        let mut headers = HeaderMap::new();
        headers.insert(header::COOKIE, HeaderValue::from_static("a=1; windrode_device=xyz ; b=2"));
        assert_eq!(cookie(&headers, "windrode_device"), Some("xyz"));
        assert_eq!(cookie(&headers, "device"), None);
    }
}
