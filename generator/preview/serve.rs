//! Pages over HTTP on loopback, and word to the reader's browser when there is a newer edition.

use super::{Edition, Site};
use axum::Router;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderMap, StatusCode, Uri, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use notify_debouncer_full::notify::{self, RecursiveMode};
use notify_debouncer_full::{DebounceEventResult, new_debouncer};
use serde::Deserialize;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::time::Duration;

/// Editors write a file in several steps; what comes within this time is one change.
const QUIET: Duration = Duration::from_millis(80);

/// How long a browser waits for news before it asks again.
const PATIENCE: Duration = Duration::from_secs(25);

/// Why a course could not be shown.
#[derive(Debug)]
pub enum Refused {
    /// The port is taken or not allowed.
    Port(u16, std::io::Error),
    /// The folder cannot be watched for changes.
    Watch(notify::Error),
    /// The network gave up.
    Network(std::io::Error),
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Port(port, why) => write!(
                f,
                "port {port} cannot be used: {why}\n  help: another preview may be open; close it, or choose another with --port"
            ),
            Self::Watch(why) => write!(
                f,
                "the course's folders cannot be watched for changes: {why}\n  help: check that you may read lessons/, quizzes/ and theme/"
            ),
            Self::Network(why) => write!(
                f,
                "the pages can no longer be shown: {why}\n  help: start the preview again"
            ),
        }
    }
}

impl std::error::Error for Refused {}

/// Shows a site until the program is ended. `ready` is told the address, `renewed` each edition after the first.
///
/// # Errors
/// [`Refused`]: the port, the folders or the network.
pub fn serve(
    site: Arc<Site>,
    port: u16,
    ready: impl FnOnce(SocketAddr),
    renewed: impl Fn(&Edition) + Send + 'static,
) -> Result<(), Refused> {
    let watched = site.clone();
    let mut debouncer = new_debouncer(QUIET, None, move |result: DebounceEventResult| {
        // Reading a file changes nothing.
        let changed = result.is_ok_and(|events| events.iter().any(|event| !event.kind.is_access()));
        if changed {
            renewed(&watched.renew());
        }
    })
    .map_err(Refused::Watch)?;
    for folder in site.folders() {
        debouncer
            .watch(&folder, RecursiveMode::Recursive)
            .map_err(Refused::Watch)?;
    }
    let pages = Router::new()
        .route("/", get(|| async { Redirect::temporary("/index.html") }))
        .route("/preview/wait.js", get(wait))
        .route("/preview/news.js", get(news))
        .route("/{*path}", get(page))
        .with_state(site);
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_all()
        .build()
        .map_err(Refused::Network)?;
    runtime.block_on(async {
        // Loopback: nobody else on the network sees a course that is half written.
        let listener = tokio::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port))
            .await
            .map_err(|why| Refused::Port(port, why))?;
        ready(listener.local_addr().map_err(Refused::Network)?);
        axum::serve(listener, pages).await.map_err(Refused::Network)
    })
}

/// Whether the browser asked for this machine by a name of its own. A page from elsewhere could otherwise reach in by a name that
/// it lets point here.
fn is_local(headers: &HeaderMap) -> bool {
    let host = headers
        .get(header::HOST)
        .and_then(|host| host.to_str().ok())
        .unwrap_or_default();
    let name = host.rsplit_once(':').map_or(host, |(name, _)| name);
    matches!(name, "127.0.0.1" | "localhost")
}

async fn page(State(site): State<Arc<Site>>, Path(path): Path<String>, headers: HeaderMap, uri: Uri) -> Response {
    if !is_local(&headers) {
        return StatusCode::MISDIRECTED_REQUEST.into_response();
    }
    let latest = site.latest();
    let html = path.ends_with(".html");
    let bytes = match (&latest.instead, html) {
        (Some(instead), true) => instead.clone().into_bytes(),
        _ => match latest.files.get(&path) {
            Some(bytes) => bytes.clone(),
            None => return (StatusCode::NOT_FOUND, format!("{uri} is no page of this course\n")).into_response(),
        },
    };
    let bytes = if html { listening(bytes, latest.number) } else { bytes };
    let kind = match path.rsplit('.').next() {
        Some("html") => "text/html; charset=utf-8",
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("json") => "application/json",
        Some("svg") => "image/svg+xml",
        Some("png") => "image/png",
        Some("jpg" | "jpeg") => "image/jpeg",
        Some("webp") => "image/webp",
        Some("mp4") => "video/mp4",
        Some("webm") => "video/webm",
        Some("vtt") => "text/vtt; charset=utf-8",
        _ => "application/octet-stream",
    };
    (
        [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "no-store")],
        bytes,
    )
        .into_response()
}

/// The page with a script at its end that waits for the next edition. A script, since the pages' policy allows no other request.
fn listening(page: Vec<u8>, number: u64) -> Vec<u8> {
    let Ok(mut page) = String::from_utf8(page) else {
        return Vec::new();
    };
    let end = page.rfind("</body>").unwrap_or(page.len());
    page.insert_str(
        end,
        &format!("<script src=\"/preview/wait.js?seen={number}\" async></script>\n"),
    );
    page.into_bytes()
}

#[derive(Deserialize)]
struct Seen {
    seen: u64,
}

/// Once the page is whole, asks for news. Asked for by the page itself, the news would keep it loading for ever.
async fn wait(Query(Seen { seen }): Query<Seen>, headers: HeaderMap) -> Response {
    script(
        &headers,
        format!("addEventListener(\"load\", () => {{ {} }});\n", ask(seen)),
    )
}

/// Answers once there is an edition that the browser has not seen: it then loads the page anew, and keeps its place on it.
async fn news(State(site): State<Arc<Site>>, Query(Seen { seen }): Query<Seen>, headers: HeaderMap) -> Response {
    let mut watch = site.watch();
    let newer = watch.wait_for(|edition| edition.number != seen);
    let told = match tokio::time::timeout(PATIENCE, newer).await {
        Ok(_) => "location.reload();\n".to_owned(),
        Err(_) => ask(seen),
    };
    script(&headers, told)
}

fn ask(seen: u64) -> String {
    format!(
        "const news = document.createElement(\"script\"); news.type = \"module\"; news.src = \"/preview/news.js?seen={seen}&at=\" + Date.now(); \
         document.body.append(news);"
    )
}

fn script(headers: &HeaderMap, text: String) -> Response {
    if !is_local(headers) {
        return StatusCode::MISDIRECTED_REQUEST.into_response();
    }
    let kind = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (header::CACHE_CONTROL, "no-store"),
    ];
    (kind, text).into_response()
}
