//! The server: this computer's own address, until it is told to stop.

use std::collections::VecDeque;
use std::future::Future;
use std::net::{Ipv4Addr, SocketAddr};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use axum::Router;
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tower_service::Service;

use super::{Desk, router};
use crate::error::{Kind, Problem};

/// How long requests that are under way may take after the counter was told to stop.
const LAST_ORDERS: Duration = Duration::from_secs(10);
/// How long a request may take to come in, and a connection to say nothing.
pub(super) const SLOWEST_REQUEST: Duration = Duration::from_secs(10);
/// Most connections that are open at once; a browser opens six.
const MOST_OPEN: usize = 200;
/// How long to wait where no connection can be taken.
const BREATH: Duration = Duration::from_millis(100);
/// How often it is looked whether the day has its copy.
const COPY_LOOK: Duration = Duration::from_secs(600);

/// Serves the pages at a port of this computer's own address, and at no other, until the program
/// is told to stop; what is under way is finished. Port 0 takes any free one; `announce` is told
/// which.
///
/// # Errors
/// The port is in use, or the system refuses.
pub fn run(desk: Arc<dyn Desk>, port: u16, announce: impl FnOnce(SocketAddr)) -> Result<(), Problem> {
    let fault = |error: std::io::Error| {
        Problem::new(Kind::Fault, format!("the counter cannot be run: {error}"), "please report this")
    };
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().map_err(fault)?;
    runtime.block_on(async {
        let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, port)).await.map_err(|error| {
            let hint = match error.kind() {
                std::io::ErrorKind::AddrInUse => {
                    "a counter may be open already: look there in a browser; or take another with --port, such as --port 0 for any free one"
                }
                _ => "take another port with --port, such as --port 0 for any free one",
            };
            Problem::new(Kind::File, format!("port {port} cannot be used: {error}"), hint)
        })?;
        let address = listener.local_addr().map_err(fault)?;
        let pages = router(Arc::clone(&desk), address.port())?;
        tokio::spawn(copies(desk));
        let stopping = stop_signal().map_err(fault)?;
        tokio::pin!(stopping);
        announce(address);
        let mut open = Connections::new(pages);
        loop {
            tokio::select! {
                accepted = listener.accept() => match accepted {
                    Ok((stream, _)) => open.serve(stream),
                    // Somebody who went away again, or too many files open: the next may do better.
                    Err(_) => tokio::time::sleep(BREATH).await,
                },
                () = &mut stopping => break,
            }
        }
        drop(listener);
        open.finish().await;
        Ok(())
    })
}

/// A connection that is served.
struct Served {
    task: tokio::task::AbortHandle,
    /// How many of its requests are worked on.
    at_work: Arc<AtomicUsize>,
}

/// The connections that are open.
struct Connections {
    pages: Router,
    tasks: JoinSet<()>,
    /// Oldest first.
    served: VecDeque<Served>,
    /// Told when the counter stops.
    last_orders: watch::Sender<bool>,
}

impl Connections {
    fn new(pages: Router) -> Self {
        let (last_orders, _) = watch::channel(false);
        Self { pages, tasks: JoinSet::new(), served: VecDeque::new(), last_orders }
    }

    /// Serves one more. Where many are open, the oldest that asks for nothing makes room: whoever
    /// opens connections and says nothing keeps no honest one out.
    fn serve(&mut self, stream: TcpStream) {
        while self.tasks.try_join_next().is_some() {}
        self.served.retain(|served| !served.task.is_finished());
        if self.served.len() >= MOST_OPEN
            && let Some(idle) =
                self.served.iter().position(|served| served.at_work.load(Ordering::SeqCst) == 0)
            && let Some(served) = self.served.remove(idle)
        {
            served.task.abort();
        }
        let at_work = Arc::new(AtomicUsize::new(0));
        let (pages, counted) = (self.pages.clone(), Arc::clone(&at_work));
        let service = hyper::service::service_fn(move |request: hyper::Request<Incoming>| {
            let mut pages = pages.clone();
            let counted = AtWork::begin(&counted);
            async move {
                let answer = Service::call(&mut pages, request).await;
                drop(counted);
                answer
            }
        });
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(SLOWEST_REQUEST)
            .serve_connection(TokioIo::new(stream), service);
        let mut last_orders = self.last_orders.subscribe();
        let task = self.tasks.spawn(async move {
            tokio::pin!(connection);
            tokio::select! {
                // A connection that breaks off is nobody's business any more.
                _ = connection.as_mut() => return,
                _ = last_orders.changed() => connection.as_mut().graceful_shutdown(),
            }
            let _ = connection.await;
        });
        self.served.push_back(Served { task, at_work });
    }

    /// Finishes what is under way, and waits for no more than that, nor for ever.
    async fn finish(mut self) {
        self.last_orders.send_replace(true);
        let all = async { while self.tasks.join_next().await.is_some() {} };
        // Whatever takes longer is cut off.
        let _ = tokio::time::timeout(LAST_ORDERS, all).await;
    }
}

/// A request that is worked on.
struct AtWork(Arc<AtomicUsize>);

impl AtWork {
    fn begin(count: &Arc<AtomicUsize>) -> Self {
        count.fetch_add(1, Ordering::SeqCst);
        Self(Arc::clone(count))
    }
}

impl Drop for AtWork {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

/// Sees to it that each day has its copy, for as long as the counter runs.
async fn copies(desk: Arc<dyn Desk>) {
    let mut looks = tokio::time::interval(COPY_LOOK);
    loop {
        looks.tick().await;
        let desk = Arc::clone(&desk);
        // What went wrong is told on the peg; the next look tries again.
        let _ = tokio::task::spawn_blocking(move || desk.make_copy_of_the_day()).await;
    }
}

/// Ends when the program is told to stop.
#[cfg(unix)]
fn stop_signal() -> std::io::Result<impl Future<Output = ()>> {
    use tokio::signal::unix::{SignalKind, signal};
    let (mut interrupt, mut terminate) = (signal(SignalKind::interrupt())?, signal(SignalKind::terminate())?);
    // Its terminal was closed: that is no reason to break off in the middle of a request.
    let mut hangup = signal(SignalKind::hangup())?;
    Ok(async move {
        tokio::select! {
            _ = interrupt.recv() => (),
            _ = terminate.recv() => (),
            _ = hangup.recv() => (),
        }
    })
}

/// Ends when the program is told to stop.
#[cfg(not(unix))]
fn stop_signal() -> std::io::Result<impl Future<Output = ()>> {
    Ok(async {
        // Without such a signal the counter is stopped with its terminal.
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending().await
        }
    })
}
