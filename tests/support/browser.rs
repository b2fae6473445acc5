//! A real browser, steered by its driver (W3C WebDriver).

use std::net::TcpListener;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// Name under which the standard hands out an element.
const ELEMENT: &str = "element-6066-11e4-a52e-4f735466cecf";

/// A browser window; it is closed with this.
pub(crate) struct Browser {
    driver: Child,
    agent: ureq::Agent,
    session: String,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// A window of a size, with scripts or without; `None` where there is no browser and none is
    /// asked for by FISTMELE_BROWSER=required.
    pub(crate) fn open(width: u32, height: u32, scripts: bool) -> Option<Self> {
        let required = std::env::var("FISTMELE_BROWSER").is_ok_and(|value| value == "required");
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let driver = Command::new("chromedriver")
            .arg(format!("--port={port}"))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn();
        let driver = match driver {
            Ok(driver) => driver,
            Err(error) if required => panic!("chromedriver cannot be started: {error}"),
            Err(_) => {
                println!("skipped: there is no chromedriver here");
                return None;
            }
        };
        let profile = tempfile::tempdir().unwrap();
        let config = ureq::Agent::config_builder()
            .http_status_as_error(false)
            .timeout_global(Some(Duration::from_secs(60)));
        let agent: ureq::Agent = config.build().into();
        let mut browser =
            Self { driver, agent, session: format!("http://127.0.0.1:{port}/session"), _profile: profile };
        let mut arguments = vec![
            "--headless=new".to_owned(),
            "--no-sandbox".to_owned(),
            "--disable-gpu".to_owned(),
            "--disable-quic".to_owned(),
            "--no-first-run".to_owned(),
            "--disable-background-networking".to_owned(),
            "--disable-component-update".to_owned(),
            "--disable-sync".to_owned(),
            "--hide-scrollbars".to_owned(),
            format!("--window-size={width},{height}"),
        ];
        arguments.push(format!("--user-data-dir={}", browser._profile.path().display()));
        let mut options = json!({ "args": arguments });
        if !scripts {
            options["prefs"] = json!({ "profile.managed_default_content_settings.javascript": 2 });
        }
        let wanted = json!({ "capabilities": { "alwaysMatch": {
            "goog:chromeOptions": options,
            "goog:loggingPrefs": { "browser": "ALL" },
        } } });
        let start = Instant::now();
        let id = loop {
            let answer = browser.agent.post(browser.session.as_str()).send_json(&wanted);
            if let Ok(mut answer) = answer {
                let value: Value = answer.body_mut().read_json().unwrap();
                let id = value["value"]["sessionId"].as_str().map(str::to_owned);
                break id.unwrap_or_else(|| panic!("no browser: {value}"));
            }
            assert!(start.elapsed() < Duration::from_secs(20), "the driver does not answer");
            std::thread::sleep(Duration::from_millis(100));
        };
        browser.session = format!("{}/{id}", browser.session);
        // An element that is on its way is waited for.
        browser.tell("timeouts", &json!({ "implicit": 5000 }));
        Some(browser)
    }

    fn tell(&self, what: &str, body: &Value) -> Value {
        let mut answer = self.agent.post(format!("{}/{what}", self.session)).send_json(body).unwrap();
        let value: Value = answer.body_mut().read_json().unwrap();
        assert!(value["value"]["error"].is_null(), "{what} {body}: {value}");
        value["value"].clone()
    }

    pub(crate) fn go(&self, address: &str) {
        self.tell("url", &json!({ "url": address }));
    }

    fn find(&self, css: &str) -> String {
        let found = self.tell("element", &json!({ "using": "css selector", "value": css }));
        found[ELEMENT].as_str().unwrap().to_owned()
    }

    pub(crate) fn click(&self, css: &str) {
        let element = self.find(css);
        self.tell(&format!("element/{element}/click"), &json!({}));
    }

    pub(crate) fn fill(&self, css: &str, text: &str) {
        let element = self.find(css);
        self.tell(&format!("element/{element}/clear"), &json!({}));
        self.tell(&format!("element/{element}/value"), &json!({ "text": text }));
    }

    /// Types into an element as it is, such as the place of a file into what chooses one.
    pub(crate) fn send(&self, css: &str, text: &str) {
        let element = self.find(css);
        self.tell(&format!("element/{element}/value"), &json!({ "text": text }));
    }

    /// Presses keys where the focus is.
    pub(crate) fn press(&self, keys: &[&str]) {
        let actions: Vec<Value> = keys
            .iter()
            .flat_map(|key| {
                [json!({ "type": "keyDown", "value": key }), json!({ "type": "keyUp", "value": key })]
            })
            .collect();
        self.tell("actions", &json!({ "actions": [{ "type": "key", "id": "keys", "actions": actions }] }));
    }

    /// What an element says; nothing where its page goes just then.
    pub(crate) fn text(&self, css: &str) -> String {
        let element = self.find(css);
        let address = format!("{}/element/{element}/text", self.session);
        let value: Value = self.agent.get(address).call().unwrap().body_mut().read_json().unwrap();
        value["value"].as_str().unwrap_or_default().to_owned()
    }

    /// Waits until an element says something, and gives all it says.
    pub(crate) fn says(&self, css: &str, wanted: impl Fn(&str) -> bool) -> String {
        let start = Instant::now();
        loop {
            let text = self.text(css);
            if wanted(&text) {
                return text;
            }
            assert!(start.elapsed() < Duration::from_secs(5), "{css} says: {text}");
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    /// Runs a script in the page; it must return something.
    pub(crate) fn run(&self, script: &str) -> Value {
        self.tell("execute/sync", &json!({ "script": script, "args": [] }))
    }

    pub(crate) fn resize(&self, width: u32, height: u32) {
        self.tell("window/rect", &json!({ "width": width, "height": height }));
    }

    /// Shows pages as narrow as on a phone.
    pub(crate) fn phone(&self, width: u32, height: u32) {
        self.tell(
            "goog/cdp/execute",
            &json!({ "cmd": "Emulation.setDeviceMetricsOverride", "params": {
                "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false,
            } }),
        );
    }

    /// A picture of the whole page.
    pub(crate) fn picture(&self, file: &Path) {
        let shot = self.tell(
            "goog/cdp/execute",
            &json!({ "cmd": "Page.captureScreenshot", "params": { "captureBeyondViewport": true } }),
        );
        let bytes = decoded(shot["data"].as_str().unwrap());
        std::fs::write(file, bytes).unwrap();
    }

    /// The page as it prints on a paper of so many inches, as a PDF.
    pub(crate) fn print(&self, width: f64, height: f64) -> Vec<u8> {
        let printed = self.tell(
            "goog/cdp/execute",
            &json!({ "cmd": "Page.printToPDF", "params": {
                "paperWidth": width, "paperHeight": height, "printBackground": false,
            } }),
        );
        decoded(printed["data"].as_str().unwrap())
    }

    /// What the browser complains of since the last time, such as what the policy of a page refused.
    pub(crate) fn complaints(&self) -> Vec<String> {
        let log = self.tell("se/log", &json!({ "type": "browser" }));
        log.as_array()
            .unwrap()
            .iter()
            .filter(|line| line["level"] == "SEVERE")
            .map(|line| line["message"].as_str().unwrap_or_default().to_owned())
            // A refused form is answered with its status, which the browser notes as well.
            .filter(|message| !message.contains("the server responded with a status of 4"))
            .collect()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.agent.delete(self.session.as_str()).call();
        let _ = self.driver.kill();
        let _ = self.driver.wait();
    }
}

/// Bytes of a text in base 64 (RFC 4648).
fn decoded(text: &str) -> Vec<u8> {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let (mut bytes, mut held, mut bits) = (Vec::new(), 0_u32, 0);
    for letter in text.bytes().filter(|letter| *letter != b'=') {
        let value = LETTERS.iter().position(|known| *known == letter).unwrap() as u32;
        held = held << 6 | value;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits & 0xff) as u8);
        }
    }
    bytes
}
