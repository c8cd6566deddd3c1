//! The boat's own authority, so that a phone that trusts it has a secure context on board.
//!
//! The authority is made once and lives in the data directory. It is bound by name constraints (RFC 5280 §4.2.1.10) to
//! the boat's own names and to addresses that exist on no public network, so that its key, stolen, opens nothing else.
//! The certificate that the server shows is made anew at each start, for the names and numbers that it then has.

use std::fs;
use std::io::Write;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};
use std::path::Path;
use std::sync::Arc;

use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use ring::digest::{SHA256, digest};
use rustls::ServerConfig;
use rustls::pki_types::pem::PemObject;
use rustls::pki_types::{CertificateDer, PrivateKeyDer};

use super::Shared;
use super::refusal::Refusal;
use crate::append::append;

/// The authority's files in the data directory.
const FOLDER: &str = "tls";
const CERTIFICATE: &str = "authority.crt";
const KEY: &str = "authority.key";
const NAMES: &str = "authority.names";
/// The authority lasts as long as a boat is kept.
const AUTHORITY_DAYS: i64 = 3650;
/// What a phone takes of a server's certificate: 825 days on Apple's (their notice HT210176, from memory), and it is
/// made anew at each start.
const LEAF_DAYS: i64 = 397;
/// A clock that wakes a day behind must not find it not yet valid.
const BEFORE_DAYS: i64 = 2;

/// Numbers of networks that exist on no public one (RFC 1918, 3927, 6598, 4193, 4291), and of this computer, each with
/// how many of its first bits count.
const PRIVATE: [(IpAddr, u8); 9] = [
    (IpAddr::V4(Ipv4Addr::new(10, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(172, 16, 0, 0)), 12),
    (IpAddr::V4(Ipv4Addr::new(192, 168, 0, 0)), 16),
    (IpAddr::V4(Ipv4Addr::new(169, 254, 0, 0)), 16),
    (IpAddr::V4(Ipv4Addr::new(100, 64, 0, 0)), 10),
    (IpAddr::V4(Ipv4Addr::new(127, 0, 0, 0)), 8),
    (IpAddr::V6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0)), 7),
    (IpAddr::V6(Ipv6Addr::new(0xfe80, 0, 0, 0, 0, 0, 0, 0)), 10),
    (IpAddr::V6(Ipv6Addr::LOCALHOST), 128),
];

/// Whether a number lies on a private network: a certificate for any other would not stand under the authority.
fn is_private(number: IpAddr) -> bool {
    let bits = |ip: IpAddr| match ip {
        IpAddr::V4(ip) => (u128::from(u32::from(ip)) << 96, 4),
        IpAddr::V6(ip) => (u128::from(ip), 6),
    };
    let (told, kind) = bits(number);
    PRIVATE.iter().any(|&(network, counted)| {
        let (from, of_kind) = bits(network);
        kind == of_kind && u32::from(counted) <= (told ^ from).leading_zeros()
    })
}

/// Whether a name stands under an authority that was made for these.
fn is_permitted(name: &str, made_for: &[String]) -> bool {
    let within = |whole: &str| name == whole || name.ends_with(&format!(".{whole}"));
    within("local") || within("localhost") || made_for.iter().any(|whole| within(whole))
}

/// The authority, and what the server shows.
#[derive(Clone, Debug)]
pub(crate) struct Authority {
    /// Its certificate, as text.
    pub(crate) certificate_pem: String,
    /// By which people compare it.
    pub(crate) fingerprint: String,
    /// Names that it was not made for, so that the certificate does not hold them.
    pub(crate) left_out: Vec<String>,
    /// What the server speaks by.
    pub(crate) config: Arc<ServerConfig>,
}

/// Takes the authority of a data directory, making it where there is none, and a certificate for these names and
/// numbers.
///
/// # Errors
/// It cannot be written, or what is there cannot be read.
pub(crate) fn authority(directory: &Path, names: &[String], numbers: &[IpAddr]) -> anyhow::Result<Authority> {
    let folder = directory.join(FOLDER);
    if !folder.join(CERTIFICATE).exists() {
        make(&folder, names)?;
    }
    let certificate_pem = fs::read_to_string(folder.join(CERTIFICATE))?;
    let key = KeyPair::from_pem(&fs::read_to_string(folder.join(KEY))?)?;
    let der = CertificateDer::from_pem_slice(certificate_pem.as_bytes())?;
    let made_for: Vec<String> = fs::read_to_string(folder.join(NAMES))?.lines().map(str::to_owned).collect();
    let (held, left_out): (Vec<String>, Vec<String>) =
        names.iter().cloned().partition(|name| is_permitted(name, &made_for));
    let issuer = Issuer::new(of_authority(&made_for)?, key);
    let own_key = KeyPair::generate()?;
    let own = leaf(&held, numbers)?.signed_by(&own_key, &issuer)?;
    let chain = vec![own.der().clone(), der.clone().into_owned()];
    let private = PrivateKeyDer::try_from(own_key.serialize_der()).map_err(anyhow::Error::msg)?;
    let provider = Arc::new(rustls::crypto::ring::default_provider());
    let mut config = ServerConfig::builder_with_provider(provider)
        .with_safe_default_protocol_versions()?
        .with_no_client_auth()
        .with_single_cert(chain, private)?;
    config.alpn_protocols = vec![b"h2".to_vec(), b"http/1.1".to_vec()];
    Ok(Authority { fingerprint: fingerprint(&der), certificate_pem, left_out, config: Arc::new(config) })
}

fn make(folder: &Path, names: &[String]) -> anyhow::Result<()> {
    let key = KeyPair::generate()?;
    let certificate = of_authority(names)?.self_signed(&key)?;
    fs::create_dir_all(folder)?;
    write_secret(&folder.join(KEY), key.serialize_pem().as_bytes())?;
    fs::write(folder.join(NAMES), names.join("\n"))?;
    // The certificate is written last: where it is, the key is.
    fs::write(folder.join(CERTIFICATE), certificate.pem())?;
    Ok(())
}

/// What the authority is; a certificate that it signs takes its name and its key's from here.
fn of_authority(names: &[String]) -> anyhow::Result<CertificateParams> {
    let mut of = CertificateParams::new(Vec::new())?;
    of.distinguished_name = called("Windrode, the boat's own authority");
    of.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    of.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    of.name_constraints =
        Some(NameConstraints { permitted_subtrees: permitted(names), excluded_subtrees: Vec::new() });
    lasting(&mut of, AUTHORITY_DAYS);
    Ok(of)
}

/// A file that nobody else on the computer can read.
fn write_secret(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    use std::os::unix::fs::OpenOptionsExt;
    let mut file = fs::OpenOptions::new().write(true).create(true).truncate(true).mode(0o600).open(path)?;
    file.write_all(bytes)?;
    file.sync_all()
}

fn permitted(names: &[String]) -> Vec<GeneralSubtree> {
    let names = names.iter().cloned().chain(["localhost".to_owned(), "local".to_owned()]);
    let networks = PRIVATE.map(|(network, counted)| CidrSubnet::from_addr_prefix(network, counted));
    let numbers = networks.into_iter().map(GeneralSubtree::IpAddress);
    names.map(GeneralSubtree::DnsName).chain(numbers).collect()
}

fn leaf(names: &[String], numbers: &[IpAddr]) -> anyhow::Result<CertificateParams> {
    let names = names.iter().cloned().chain(["localhost".to_owned()]);
    let mut of = CertificateParams::new(names.collect::<Vec<String>>())?;
    of.distinguished_name = called("Windrode");
    let own = [IpAddr::V4(Ipv4Addr::LOCALHOST), IpAddr::V6(Ipv6Addr::LOCALHOST)];
    let numbers = numbers.iter().copied().filter(|number| is_private(*number));
    of.subject_alt_names.extend(numbers.chain(own).map(SanType::IpAddress));
    of.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    of.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    lasting(&mut of, LEAF_DAYS);
    Ok(of)
}

fn called(name: &str) -> DistinguishedName {
    let mut called = DistinguishedName::new();
    called.push(DnType::CommonName, name);
    called
}

fn lasting(of: &mut CertificateParams, days: i64) {
    let now = jiff::tz::Offset::UTC.to_datetime(crate::clock::system_time());
    let on = |days: i64| {
        let day = now.checked_add(jiff::SignedDuration::from_hours(24 * days)).unwrap_or(now).date();
        let small = |number: i8| u8::try_from(number).unwrap_or(1);
        rcgen::date_time_ymd(i32::from(day.year()), small(day.month()), small(day.day()))
    };
    of.not_before = on(-BEFORE_DAYS);
    of.not_after = on(days);
}

/// SHA-256 in pairs of digits, as phones show it.
fn fingerprint(der: &CertificateDer<'_>) -> String {
    let mut text = String::new();
    for (index, byte) in digest(&SHA256, der).as_ref().iter().enumerate() {
        append(&mut text, format_args!("{}{byte:02X}", if index == 0 { "" } else { ":" }));
    }
    text
}

fn known(server: &Shared) -> Result<&Authority, Refusal> {
    server
        .authority
        .as_ref()
        .ok_or_else(|| Refusal::missing("authority here (the server was started without --tls)"))
}

/// What to do on a phone.
pub(crate) async fn page(State(server): State<Shared>) -> Result<Response, Refusal> {
    let authority = known(&server)?;
    let text = format!(
        "<!doctype html><html lang=\"en\"><meta charset=\"utf-8\"><meta name=\"viewport\" \
         content=\"width=device-width\"><title>Windrode: trust this boat</title><h1>Trust this boat</h1>\
         <p>Install the boat's own authority on this device, once. It is good for this boat's names and for private \
         networks only.</p><ul><li><a href=\"/ca.crt\">Certificate</a>: Android, computers. Install it as a CA \
         certificate in the settings.</li><li><a href=\"/ca.mobileconfig\">Profile</a>: iPhone, iPad. Install it in \
         Settings, then turn on full trust under About, Certificate Trust Settings.</li></ul>\
         <p>Its SHA-256 fingerprint must be the one that the boat's screen shows:</p><pre>{}</pre></html>\n",
        authority.fingerprint.replace(':', " ")
    );
    Ok(([(header::CONTENT_TYPE, "text/html; charset=utf-8")], text).into_response())
}

/// The authority's certificate.
pub(crate) async fn certificate(State(server): State<Shared>) -> Result<Response, Refusal> {
    let authority = known(&server)?;
    let head = [
        (header::CONTENT_TYPE, "application/x-x509-ca-cert"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"windrode-authority.crt\""),
    ];
    Ok((head, authority.certificate_pem.clone()).into_response())
}

/// The same as a profile (Apple, Configuration Profile Reference, from memory).
pub(crate) async fn profile(State(server): State<Shared>) -> Result<Response, Refusal> {
    let authority = known(&server)?;
    let base64: String =
        authority.certificate_pem.lines().filter(|line| !line.starts_with("-----")).collect();
    // Names that stay the same for the same authority, in the shape of a UUID.
    let hex = authority.fingerprint.replace(':', "");
    let named = |from: usize| {
        let part = |at: usize, long: usize| hex.get(from + at..from + at + long).unwrap_or("0").to_owned();
        [part(0, 8), part(8, 4), part(12, 4), part(16, 4), part(20, 12)].join("-")
    };
    let text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE plist PUBLIC \"-//Apple//DTD PLIST 1.0//EN\" \
         \"http://www.apple.com/DTDs/PropertyList-1.0.dtd\">\n<plist version=\"1.0\"><dict>\
         <key>PayloadContent</key><array><dict>\
         <key>PayloadCertificateFileName</key><string>windrode-authority.crt</string>\
         <key>PayloadContent</key><data>{base64}</data>\
         <key>PayloadDisplayName</key><string>Windrode, the boat's own authority</string>\
         <key>PayloadIdentifier</key><string>boat.windrode.authority.certificate</string>\
         <key>PayloadType</key><string>com.apple.security.root</string>\
         <key>PayloadUUID</key><string>{}</string><key>PayloadVersion</key><integer>1</integer></dict></array>\
         <key>PayloadDisplayName</key><string>Windrode</string>\
         <key>PayloadIdentifier</key><string>boat.windrode.authority</string>\
         <key>PayloadType</key><string>Configuration</string>\
         <key>PayloadUUID</key><string>{}</string><key>PayloadVersion</key><integer>1</integer></dict></plist>\n",
        named(0),
        named(32)
    );
    let head = [(header::CONTENT_TYPE, "application/x-apple-aspen-config")];
    Ok((head, text).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn private_numbers_are_told_from_public_ones() {
        let is = |text: &str| is_private(text.parse().expect("a number"));
        for private in
            ["10.255.0.1", "172.31.9.9", "192.168.0.1", "100.127.1.1", "127.0.0.1", "::1", "fd00::1"]
        {
            assert!(is(private), "{private}");
        }
        // RFC 5737 and RFC 3849: numbers set aside for documents, and the neighbours of private networks.
        for public in
            ["192.0.2.1", "172.32.0.1", "172.15.0.1", "100.128.0.1", "11.0.0.1", "2001:db8::1", "::2"]
        {
            assert!(!is(public), "{public}");
        }
    }

    #[test]
    fn a_name_stands_under_the_authority_that_was_made_for_it() {
        let made_for = ["tern.example".to_owned()];
        for name in ["boat.local", "localhost", "tern.example", "helm.tern.example"] {
            assert!(is_permitted(name, &made_for), "{name}");
        }
        for name in ["example", "nottern.example", "evil.example", "locals"] {
            assert!(!is_permitted(name, &made_for), "{name}");
        }
    }

    #[test]
    fn the_authority_is_kept_and_its_key_is_nobody_else_s() {
        use std::os::unix::fs::PermissionsExt;
        let directory = std::env::temp_dir().join(format!("windrode-tls-{}", std::process::id()));
        let _ = fs::remove_dir_all(&directory);
        let names = ["boat.local".to_owned()];
        let first = authority(&directory, &names, &[IpAddr::from([192, 168, 1, 7])]).expect("made");
        let again = authority(&directory, &names, &[IpAddr::from([192, 168, 1, 9])]).expect("taken");
        assert_eq!(first.certificate_pem, again.certificate_pem);
        let other = authority(&directory, &["tern.example".to_owned()], &[]).expect("taken");
        assert_eq!(other.left_out, ["tern.example"]);
        assert_eq!(first.fingerprint.len(), 95);
        let mode = fs::metadata(directory.join(FOLDER).join(KEY)).expect("a key").permissions().mode();
        assert_eq!(mode & 0o777, 0o600);
        fs::remove_dir_all(directory).expect("removed");
    }
}
