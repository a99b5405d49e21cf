//! Who may come in: this machine alone, or with `--lan` also whoever knows the pairing code; never a page of another site.
//!
//! Browsers say in `Host` which name they looked up, so a name that somebody pointed at this machine is seen there; and in
//! `Origin` and `Sec-Fetch-Site` which page sent the request.

use std::collections::HashSet;
use std::net::{IpAddr, SocketAddr};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use axum::extract::{ConnectInfo, Request, State};
use axum::http::header::{self, HeaderName, HeaderValue};
use axum::http::{HeaderMap, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use crate::failure::Failure;
use crate::state::Bench;

/// Who may come in.
pub struct Guard {
    port: u16,
    lan: Option<Lan>,
}

/// Pairing with machines on the same network.
struct Lan {
    code: String,
    tokens: Mutex<HashSet<String>>,
    n_wrong: AtomicU32,
}

/// Wrong codes before pairing is closed until the next start: one in a hundred million for each of them.
const MOST_WRONG: u32 = 20;

/// The cookie of a paired machine.
pub const COOKIE: &str = "headroom_paired";

/// What came of a pairing code.
pub enum Paired {
    /// The token that lets the machine in from now on.
    Token(String),
    /// Not the code.
    Wrong,
    /// Too many wrong ones.
    Closed,
    /// There is no pairing on this bench.
    NotNeeded,
}

impl Guard {
    /// Lets in this machine alone; with `code` also others that know it.
    pub fn new(port: u16, code: Option<String>) -> Self {
        let lan =
            code.map(|code| Lan { code, tokens: Mutex::new(HashSet::new()), n_wrong: AtomicU32::new(0) });
        Self { port, lan }
    }

    /// Whether other devices can be paired.
    pub fn is_open_to_lan(&self) -> bool {
        self.lan.is_some()
    }

    /// Tries a pairing code.
    pub fn pair(&self, code: &str) -> Result<Paired, getrandom::Error> {
        let Some(lan) = &self.lan else { return Ok(Paired::NotNeeded) };
        if lan.n_wrong.load(Ordering::SeqCst) >= MOST_WRONG {
            return Ok(Paired::Closed);
        }
        let given: String = code.chars().filter(char::is_ascii_digit).collect();
        if !same(&given, &lan.code) {
            lan.n_wrong.fetch_add(1, Ordering::SeqCst);
            return Ok(Paired::Wrong);
        }
        let token = random_hex()?;
        lan.tokens.lock().unwrap_or_else(PoisonError::into_inner).insert(token.clone());
        Ok(Paired::Token(token))
    }

    /// Whether a request from `peer` needs a pairing it does not have.
    pub fn must_pair(&self, peer: IpAddr, headers: &HeaderMap) -> bool {
        let Some(lan) = &self.lan else { return false };
        if peer.is_loopback() {
            return false;
        }
        let tokens = lan.tokens.lock().unwrap_or_else(PoisonError::into_inner);
        !cookie(headers).is_some_and(|token| tokens.contains(token))
    }

    /// Whether the browser means this bench by the name it looked up.
    fn knows_host(&self, host: &str) -> bool {
        let (name, port) = match host.rsplit_once(':') {
            Some((name, port)) if !port.ends_with(']') => (name, port.parse().ok()),
            _ => (host, Some(80)),
        };
        if port != Some(self.port) {
            return false;
        }
        let literal = name.trim_start_matches('[').trim_end_matches(']').parse::<IpAddr>();
        match literal {
            // A number cannot be pointed elsewhere.
            Ok(address) => address.is_loopback() || self.lan.is_some(),
            Err(_) => name.eq_ignore_ascii_case("localhost"),
        }
    }
}

/// Refuses what does not belong here, and puts the security headers on every answer.
pub async fn guard(
    State(bench): State<Arc<Bench>>,
    ConnectInfo(peer): ConnectInfo<SocketAddr>,
    request: Request,
    next: Next,
) -> Response {
    let api = request.uri().path().starts_with("/api/");
    let mut response = match refusal(&bench.guard, peer.ip(), &request, api) {
        Some(failure) => failure.into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in HEADERS {
        headers.insert(name.clone(), HeaderValue::from_static(value));
    }
    if api {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

fn refusal(guard: &Guard, peer: IpAddr, request: &Request, api: bool) -> Option<Failure> {
    let headers = request.headers();
    let refused = |what: &str| Some(Failure::new(StatusCode::FORBIDDEN, what));
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    if !guard.knows_host(host) {
        return refused(
            "this bench answers to its own address alone; open the address it printed when it started",
        );
    }
    if let Some(origin) = headers.get(header::ORIGIN)
        && origin.as_bytes() != format!("http://{host}").as_bytes()
    {
        return refused("the request comes from a page of another site");
    }
    let cross = headers.get("sec-fetch-site").is_some_and(|site| site.as_bytes() == b"cross-site");
    if api && cross {
        return refused("the request comes from a page of another site");
    }
    let pairing = request.uri().path() == "/api/pair";
    if api && !pairing && guard.must_pair(peer, headers) {
        let what = "this device is not paired: enter the code that the bench printed when it started";
        return Some(Failure::new(StatusCode::UNAUTHORIZED, what));
    }
    None
}

/// Nothing is fetched from elsewhere, nothing is framed, nothing guesses a type.
const HEADERS: [(HeaderName, &str); 6] = [
    (
        header::CONTENT_SECURITY_POLICY,
        "default-src 'self'; img-src 'self' data: blob:; object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    ),
    (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
    (header::X_FRAME_OPTIONS, "DENY"),
    (header::REFERRER_POLICY, "no-referrer"),
    (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
    (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
];

fn cookie(headers: &HeaderMap) -> Option<&str> {
    let pairs = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    pairs
        .flat_map(|value| value.split(';'))
        .find_map(|pair| pair.trim().strip_prefix(COOKIE)?.strip_prefix('='))
}

/// Compares without telling by the time it takes how much was right.
fn same(one: &str, other: &str) -> bool {
    let differ = one.bytes().zip(other.bytes()).fold(0, |differ, (a, b)| differ | (a ^ b));
    one.len() == other.len() && differ == 0
}

/// A token nobody can guess.
fn random_hex() -> Result<String, getrandom::Error> {
    let mut bytes = [0_u8; 32];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// A pairing code of eight digits.
pub fn pairing_code() -> Result<String, getrandom::Error> {
    let mut bytes = [0_u8; 8];
    getrandom::fill(&mut bytes)?;
    Ok(format!("{:08}", u64::from_le_bytes(bytes) % 100_000_000))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    #[test]
    fn exact_only_names_of_this_machine_are_known() {
        let own = Guard::new(8787, None);
        for host in ["127.0.0.1:8787", "localhost:8787", "[::1]:8787", "LOCALHOST:8787"] {
            assert!(own.knows_host(host), "{host}");
        }
        let others = [
            "",
            "127.0.0.1",
            "127.0.0.1:80",
            "bench.example:8787",
            "192.168.1.5:8787",
            "localhost.example:8787",
        ];
        for host in others {
            assert!(!own.knows_host(host), "{host}");
        }
        let lan = Guard::new(8787, Some("12345678".into()));
        assert!(lan.knows_host("192.168.1.5:8787"));
        assert!(!lan.knows_host("bench.example:8787"), "a name can be pointed at this machine by anybody");
    }

    #[test]
    fn exact_pairing_closes_after_wrong_codes() {
        let lan = Guard::new(8787, Some("12345678".into()));
        assert!(matches!(lan.pair("1234 5678").unwrap(), Paired::Token(_)));
        for _ in 0..MOST_WRONG {
            assert!(matches!(lan.pair("87654321").unwrap(), Paired::Wrong));
        }
        assert!(matches!(lan.pair("12345678").unwrap(), Paired::Closed));
        assert!(matches!(Guard::new(1, None).pair("12345678").unwrap(), Paired::NotNeeded));
    }

    #[test]
    fn exact_a_paired_device_is_known_by_its_cookie() {
        let lan = Guard::new(8787, Some("12345678".into()));
        let far: IpAddr = [192, 168, 1, 7].into();
        let mut headers = HeaderMap::new();
        assert!(lan.must_pair(far, &headers));
        assert!(!lan.must_pair([127, 0, 0, 1].into(), &headers));
        let Paired::Token(token) = lan.pair("12345678").unwrap() else { panic!("the code is right") };
        headers.insert(header::COOKIE, format!("a=b; {COOKIE}={token}").parse().unwrap());
        assert!(!lan.must_pair(far, &headers));
        headers.insert(header::COOKIE, format!("{COOKIE}=00").parse().unwrap());
        assert!(lan.must_pair(far, &headers));
    }
}
