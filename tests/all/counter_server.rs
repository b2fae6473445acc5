//! The counter as a program: its address, its port, and how it stops.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use crate::bare_world::{World, text};
use crate::counter_pages::marks;

/// A running counter; it is stopped at the latest with this.
pub(crate) struct Running {
    child: Child,
    pub(crate) port: u16,
}

impl Running {
    pub(crate) fn on(world: &World) -> Self {
        Self::patient(world, Duration::from_secs(10))
    }

    /// One that waits so long for a book that another program holds.
    pub(crate) fn patient(world: &World, patience: Duration) -> Self {
        let mut command = world.command();
        command.args(["counter", "--port", "0"]).stderr(Stdio::piped());
        command.env("FISTMELE_PATIENCE", patience.as_millis().to_string());
        let mut child = command.spawn().unwrap();
        let mut said = String::new();
        BufReader::new(child.stderr.take().unwrap()).read_line(&mut said).unwrap();
        let port = said.split("127.0.0.1:").nth(1).and_then(|rest| rest.split('/').next());
        let port = port.unwrap_or_else(|| panic!("{said}")).parse().unwrap();
        Self { child, port }
    }

    fn ask(&self, request: &str) -> std::io::Result<String> {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port))?;
        stream.write_all(request.as_bytes())?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer)?;
        Ok(answer)
    }

    fn try_get(&self, address: &str) -> Option<String> {
        let host = format!("127.0.0.1:{}", self.port);
        self.ask(&format!("GET {address} HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n")).ok()
    }

    /// A connection to it on which so much was sent.
    fn half_open(&self, sent: &str) -> TcpStream {
        let mut stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        stream.write_all(sent.as_bytes()).unwrap();
        stream
    }

    pub(crate) fn try_post(&self, address: &str, body: &str) -> Option<String> {
        let host = format!("localhost:{}", self.port);
        self.ask(&format!(
            "POST {address} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nConnection: close\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\n\r\n{body}",
            body.len()
        ))
        .ok()
    }

    pub(crate) fn get(&self, address: &str) -> String {
        self.try_get(address).unwrap()
    }

    fn signal(&self, name: &str) {
        let done = std::process::Command::new("kill").args([name, &self.child.id().to_string()]).status();
        assert!(done.unwrap().success());
    }

    fn ends_within(&mut self, patience: Duration) -> Option<i32> {
        let start = Instant::now();
        while start.elapsed() < patience {
            if let Some(status) = self.child.try_wait().unwrap() {
                return Some(status.code().unwrap_or(-1));
            }
            std::thread::sleep(Duration::from_millis(20));
        }
        None
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn world() -> World {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8", "--want", "7-1/2..8"]);
    world
}

#[test]
fn the_counter_serves_this_computer_alone() {
    let world = world();
    let counter = Running::on(&world);
    assert!(counter.get("/").starts_with("HTTP/1.1 200"));
    // Any other address of this computer, here one of its own loopback range, finds nobody.
    let other = std::net::SocketAddr::from(([127, 0, 0, 2], counter.port));
    assert!(TcpStream::connect_timeout(&other, Duration::from_secs(2)).is_err());
    assert!(TcpStream::connect(("::1", counter.port)).is_err());
}

#[test]
fn a_port_in_use_and_a_missing_book_are_said_at_once() {
    let world = world();
    let counter = Running::on(&world);
    let port = counter.port.to_string();
    let said = world.refused(1, &["counter", "--port", &port]);
    assert!(said.contains(&port) && said.contains("--port 0"), "{said}");
    for wrong in ["65536", "-1", "http", ""] {
        world.refused(1, &["counter", "--port", wrong]);
    }
    let nothing = World::empty();
    assert!(nothing.refused(1, &["counter", "--port", "0"]).contains("init"));
}

#[test]
fn a_request_that_is_under_way_is_finished_when_the_counter_is_told_to_stop() {
    for signal in ["-TERM", "-INT", "-HUP"] {
        let world = world();
        let mut counter = Running::on(&world);
        let page = counter.get("/report/R-1");
        let (mark, seen) = marks(&page, "/report/R-1/reading");
        let body = format!("form-mark={mark}&seen={seen}&turns-changed=%2B4&brace=7");
        let mut stream = TcpStream::connect(("127.0.0.1", counter.port)).unwrap();
        let (first, rest) = body.split_at(body.len() / 2);
        write!(
            stream,
            "POST /report/R-1/reading HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: {1}\r\n\r\n{first}",
            counter.port,
            body.len()
        )
        .unwrap();
        stream.flush().unwrap();
        std::thread::sleep(Duration::from_millis(300));
        counter.signal(signal);
        std::thread::sleep(Duration::from_millis(300));
        stream.write_all(rest.as_bytes()).unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
        assert_eq!(counter.ends_within(Duration::from_secs(8)), Some(0), "{signal}");
        assert_eq!(world.count("reading"), 2, "what was acknowledged is in the book");
        assert!(TcpStream::connect(("127.0.0.1", counter.port)).is_err());
        world.assert_sound();
    }
}

#[test]
fn a_request_that_never_ends_keeps_the_counter_no_longer_than_its_last_orders() {
    let world = world();
    let mut counter = Running::on(&world);
    let mut stream = TcpStream::connect(("127.0.0.1", counter.port)).unwrap();
    write!(
        stream,
        "POST /mail HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 900\r\n\r\nhalf",
        counter.port
    )
    .unwrap();
    std::thread::sleep(Duration::from_millis(200));
    counter.signal("-TERM");
    assert_eq!(counter.ends_within(Duration::from_secs(3)), None, "what is under way is waited for");
    assert_eq!(counter.ends_within(Duration::from_secs(20)), Some(0));
    world.assert_sound();
}

#[test]
fn tabs_and_the_command_line_at_once_lose_nothing() {
    const TABS: usize = 6;
    const EACH: usize = 5;
    let world = World::new();
    for tab in 0..TABS {
        world.add_string(&format!("S-{}", tab + 1));
    }
    let counter = Running::on(&world);
    std::thread::scope(|scope| {
        for tab in 0..TABS {
            let (counter, world) = (&counter, &world);
            scope.spawn(move || {
                let serial = format!("S-{}", tab + 1);
                for _ in 0..EACH {
                    let output = world.run(&[
                        "report",
                        "add",
                        &serial,
                        "--symptom",
                        "noisy",
                        "--separate",
                        "--brace",
                        "7",
                    ]);
                    assert!(output.status.success(), "{}", text(&output.stderr));
                    let action = format!("/string/{serial}/report");
                    let (mark, seen) = marks(&counter.get(&format!("/string/{serial}")), &action);
                    let body = format!("form-mark={mark}&seen={seen}&symptom=noisy&brace=7&separate=yes");
                    let answer = counter.try_post(&action, &body).unwrap();
                    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
                }
            });
        }
    });
    assert_eq!(world.count("report"), (TABS * EACH * 2) as i64);
    world.assert_sound();
}

#[test]
fn a_counter_that_is_killed_loses_nothing_it_has_acknowledged() {
    const ROUNDS: u64 = 12;
    let world = World::new();
    world.add_string("S-1");
    let mut draw = fastrand::Rng::with_seed(11);
    let mut acknowledged = 0;
    for _ in 0..ROUNDS {
        let counter = Running::on(&world);
        let pid = counter.child.id().to_string();
        let patience = Duration::from_millis(draw.u64(5..120));
        let killer = std::thread::spawn(move || {
            std::thread::sleep(patience);
            std::process::Command::new("kill").args(["-KILL", &pid]).status().unwrap();
        });
        let action = "/string/S-1/report";
        while let Some(page) = counter.try_get("/string/S-1").filter(|page| page.contains("form-mark")) {
            let (mark, seen) = marks(&page, action);
            let body = format!("form-mark={mark}&seen={seen}&symptom=noisy&brace=7&separate=yes");
            match counter.try_post(action, &body) {
                Some(answer) if answer.starts_with("HTTP/1.1 303") => acknowledged += 1,
                _ => break,
            }
        }
        killer.join().unwrap();
    }
    let kept = world.count("report");
    // A report may have been written and the answer lost; never the other way round.
    assert!((acknowledged..=acknowledged + ROUNDS as i64).contains(&kept), "{acknowledged} and {kept}");
    assert!(kept > 0, "nothing was written in {ROUNDS} rounds");
    world.assert_sound();
}

#[test]
fn half_open_connections_end_by_themselves_and_keep_nobody_out() {
    let world = world();
    let counter = Running::on(&world);
    let head = "POST /mail HTTP/1.1\r\nHost: 127.0.0.1";
    let body = format!(
        "{head}:{0}\r\nOrigin: http://127.0.0.1:{0}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 900\r\n\r\npasted=half",
        counter.port
    );
    let start = Instant::now();
    let mut slow: Vec<TcpStream> = ["", "GET", head, &body].map(|sent| counter.half_open(sent)).into();
    // As many more as nobody opens in earnest: they make room for one another and for the honest.
    let crowd: Vec<TcpStream> = (0..600).map(|_| counter.half_open("G")).collect();
    for _ in 0..5 {
        let asked = Instant::now();
        assert!(counter.get("/").starts_with("HTTP/1.1 200"));
        assert!(asked.elapsed() < Duration::from_secs(4), "{:?}", asked.elapsed());
    }
    for stream in &mut slow {
        stream.set_read_timeout(Some(Duration::from_secs(20))).unwrap();
        let mut answer = String::new();
        // Ended with an answer or without one, or cut off: in any case within the time.
        let _ = stream.read_to_string(&mut answer);
        assert!(answer.is_empty() || answer.starts_with("HTTP/1.1 408"), "{answer}");
        assert!(start.elapsed() < Duration::from_secs(14), "{:?}", start.elapsed());
    }
    drop(crowd);
    world.assert_sound();
}
