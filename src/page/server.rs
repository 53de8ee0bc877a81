//! The page over HTTP, answered by the native engine.
//!
//! Nothing of a request names a file: the page's files are in memory under fixed names, and
//! the one question, `POST /answer`, goes to [`crate::page::answer`]. Bounded are the connections,
//! the time a head, a body and an answer may take, the size of a body, and the questions
//! under way. On loopback only names of loopback are answered, so that no other site's page
//! can be led here by its name server; a question must say that it is JSON, which no page
//! of another site can without being asked leave.

use super::bundle::page_served;
use super::catalogue::Catalogue;
use super::engine::answered;
use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::{Next, from_fn, from_fn_with_state, map_response};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use std::collections::VecDeque;
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, oneshot};
use tokio::time::{sleep, timeout};

/// Largest body, bytes: a section of the most points the engine takes has 1 MB.
const MOST_BODY: usize = 2 << 20;
/// Most connections at a time; for one more the one that has asked nothing for longest is closed,
/// and if all have asked, it waits.
const MOST_CONNECTIONS: usize = 128;
/// Most questions being answered at a time; a core each, and more wait.
const MOST_QUESTIONS: usize = 4;
/// Longest time for the head of a request.
const HEAD_TIME: Duration = Duration::from_secs(10);
/// Longest time for its body.
const BODY_TIME: Duration = Duration::from_secs(10);
/// Longest time for waiting and answer.
const ANSWER_TIME: Duration = Duration::from_secs(20);
/// Longest life of a connection, so that one who does not read frees his place.
const CONNECTION_TIME: Duration = Duration::from_secs(300);
/// Longest time for what is under way when the server is told to stop.
const STOP_TIME: Duration = Duration::from_secs(5);

/// What the browser may do with the page: its own files and its own server, no inline
/// script or style, no frame around it.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; connect-src 'self'; img-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

/// What the questions share.
struct Shared {
    catalogue: Catalogue,
    questions: Arc<Semaphore>,
    /// Only names of loopback are answered.
    loopback: bool,
}

/// Serves the page until the process is told to stop (interrupt or terminate).
///
/// # Arguments
/// * `listen`: address and port; port 0 takes a free one.
/// * `ready`: told the address once it is listened on.
///
/// # Errors
/// The address cannot be listened on, or signals cannot be caught.
pub fn serve(listen: SocketAddr, ready: impl FnOnce(SocketAddr)) -> io::Result<()> {
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .worker_threads(2)
        .max_blocking_threads(MOST_QUESTIONS)
        .enable_all()
        .build()?;
    let done = runtime.block_on(run(listen, ready));
    // A question that outlives its asker is not waited for.
    runtime.shutdown_timeout(Duration::from_millis(100));
    done
}

async fn run(listen: SocketAddr, ready: impl FnOnce(SocketAddr)) -> io::Result<()> {
    let listener = TcpListener::bind(listen).await?;
    let mut stop = std::pin::pin!(told_to_stop()?);
    let address = listener.local_addr()?;
    let service = router(address.ip().is_loopback());
    ready(address);
    let places = Arc::new(Semaphore::new(MOST_CONNECTIONS));
    let mut guests = VecDeque::with_capacity(MOST_CONNECTIONS);
    let graceful = GracefulShutdown::new();
    loop {
        let stream = tokio::select! {
            accepted = listener.accept() => match accepted {
                Ok((stream, _)) => stream,
                // Out of handles, or a peer that is gone already: wait and go on.
                Err(_) => { sleep(Duration::from_millis(50)).await; continue }
            },
            () = &mut stop => break,
        };
        guests.retain(Guest::stays);
        if places.available_permits() == 0
            && let Some(idle) = guests.iter().position(Guest::is_idle)
        {
            guests.remove(idle);
        }
        let place = tokio::select! {
            place = Arc::clone(&places).acquire_owned() => place,
            () = &mut stop => break,
        };
        // Answers are small and waited for.
        let _ = stream.set_nodelay(true);
        let (guest, shown_out) = Guest::new();
        let asks = Arc::clone(&guest.asks);
        guests.push_back(guest);
        let asked = service.clone().layer(from_fn(move |request, next: Next| {
            let asking = Asking::begin(&asks);
            async move {
                let response = next.run(request).await;
                drop(asking);
                response
            }
        }));
        let connection = hyper::server::conn::http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(HEAD_TIME)
            .serve_connection(TokioIo::new(stream), TowerToHyperService::new(asked));
        let connection = graceful.watch(connection);
        tokio::spawn(async move {
            // A connection that breaks or dawdles concerns nobody else.
            tokio::select! {
                _ = timeout(CONNECTION_TIME, connection) => (),
                _ = shown_out => (),
            }
            drop(place);
        });
    }
    drop(listener);
    let _ = timeout(STOP_TIME, graceful.shutdown()).await;
    Ok(())
}

/// A connection as the door sees it; dropped, it is closed.
struct Guest {
    /// How many of its questions are under way.
    asks: Arc<AtomicUsize>,
    door: oneshot::Sender<()>,
}

impl Guest {
    /// A guest, and what ends when he is shown out.
    fn new() -> (Self, oneshot::Receiver<()>) {
        let (door, shown_out) = oneshot::channel();
        let asks = Arc::default();
        (Self { asks, door }, shown_out)
    }

    /// Is his connection still open?
    fn stays(&self) -> bool {
        !self.door.is_closed()
    }

    /// Does he keep a place without asking?
    fn is_idle(&self) -> bool {
        self.asks.load(Ordering::Relaxed) == 0
    }
}

/// A question under way, until it is dropped.
struct Asking(Arc<AtomicUsize>);

impl Asking {
    fn begin(asks: &Arc<AtomicUsize>) -> Self {
        asks.fetch_add(1, Ordering::Relaxed);
        Self(Arc::clone(asks))
    }
}

impl Drop for Asking {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// Ends when the process is interrupted or told to terminate.
#[cfg(unix)]
fn told_to_stop() -> io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let mut interrupt = signal(SignalKind::interrupt())?;
    let mut terminate = signal(SignalKind::terminate())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => (),
            _ = terminate.recv() => (),
        }
    })
}

/// Ends when the process is interrupted.
#[cfg(not(unix))]
fn told_to_stop() -> io::Result<impl Future<Output = ()>> {
    Ok(async {
        let _ = tokio::signal::ctrl_c().await;
    })
}

/// Everything that is answered.
fn router(loopback: bool) -> Router {
    let shared = Arc::new(Shared {
        catalogue: Catalogue::builtin(),
        questions: Arc::new(Semaphore::new(MOST_QUESTIONS)),
        loopback,
    });
    let mut router = Router::new().route("/answer", post(answer));
    for file in page_served() {
        let bytes = Bytes::from(file.bytes);
        let give = move || async move {
            let kind = HeaderValue::from_static(file.kind);
            ([(header::CONTENT_TYPE, kind)], bytes)
        };
        if file.name == "index.html" {
            router = router.route("/", get(give.clone()));
        }
        router = router.route(&format!("/{}", file.name), get(give));
    }
    router
        .fallback(|| async { refusal(StatusCode::NOT_FOUND, "no such page", "try `/`") })
        .layer(from_fn_with_state(Arc::clone(&shared), own_name))
        .layer(map_response(guarded))
        .with_state(shared)
}

/// Answers a question.
async fn answer(State(shared): State<Arc<Shared>>, headers: HeaderMap, body: Body) -> Response {
    let kind = |v: &str| v.trim_start().starts_with("application/json");
    let json = |v: &HeaderValue| v.to_str().is_ok_and(kind);
    if !headers.get(header::CONTENT_TYPE).is_some_and(json) {
        return refusal(
            StatusCode::UNSUPPORTED_MEDIA_TYPE,
            "a question must be of the type application/json",
            "send the header `content-type: application/json`",
        );
    }
    let bytes = match timeout(BODY_TIME, to_bytes(body, MOST_BODY)).await {
        Ok(Ok(bytes)) => bytes,
        Ok(Err(_)) => {
            let message = format!("the question is longer than {MOST_BODY} bytes, or broke off");
            let hint = "thin the section out, or use the command line";
            return refusal(StatusCode::PAYLOAD_TOO_LARGE, &message, hint);
        }
        Err(_) => {
            let (message, hint) = ("the question did not arrive in time", "send it in one go");
            return refusal(StatusCode::REQUEST_TIMEOUT, message, hint);
        }
    };
    let busy = || {
        let message = "too many questions at a time, or one that takes too long";
        let hint = "wait a moment and ask again";
        refusal(StatusCode::SERVICE_UNAVAILABLE, message, hint)
    };
    let asked = async {
        let turn = Arc::clone(&shared.questions).acquire_owned().await.ok()?;
        let state = Arc::clone(&shared);
        let work = tokio::task::spawn_blocking(move || {
            let _turn = turn;
            match std::str::from_utf8(&bytes) {
                Ok(text) => answered(&state.catalogue, text),
                Err(error) => answered(&state.catalogue, &format!("not UTF-8: {error}")),
            }
        });
        work.await.ok()
    };
    match timeout(ANSWER_TIME, asked).await {
        Ok(Some((text, true))) => as_json(StatusCode::OK, text),
        Ok(Some((text, false))) => as_json(StatusCode::BAD_REQUEST, text),
        _ => busy(),
    }
}

fn as_json(status: StatusCode, text: String) -> Response {
    let kind = HeaderValue::from_static("application/json");
    let fresh = HeaderValue::from_static("no-store");
    let head = [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, fresh)];
    (status, head, text).into_response()
}

/// A refusal in the engine's shape of an error.
fn refusal(status: StatusCode, message: &str, hint: &str) -> Response {
    let error = serde_json::json!({"error": {"message": message, "hint": hint, "faults": [], "request": true}});
    as_json(status, error.to_string())
}

/// On loopback, answers only to names of loopback.
async fn own_name(State(shared): State<Arc<Shared>>, request: Request, next: Next) -> Response {
    let host = request.headers().get(header::HOST);
    let host = host.and_then(|v| v.to_str().ok()).unwrap_or_default();
    let name = match host.rsplit_once(':') {
        Some((name, port)) if port.bytes().all(|b| b.is_ascii_digit()) => name,
        _ => host,
    };
    if shared.loopback && !matches!(name, "localhost" | "127.0.0.1" | "[::1]") {
        return refusal(
            StatusCode::MISDIRECTED_REQUEST,
            "this server answers to localhost only",
            "open it by the address it printed",
        );
    }
    next.run(request).await
}

/// Adds what guards page and answers.
async fn guarded(mut response: Response) -> Response {
    let headers = response.headers_mut();
    for (name, value) in [
        ("content-security-policy", POLICY),
        ("x-content-type-options", "nosniff"),
        ("x-frame-options", "DENY"),
        ("referrer-policy", "no-referrer"),
        ("cross-origin-opener-policy", "same-origin"),
        ("cross-origin-resource-policy", "same-origin"),
        (
            "permissions-policy",
            "camera=(), geolocation=(), microphone=()",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-cache"));
    response
}
