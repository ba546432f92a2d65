//! Chromium without a window, asked through its debugging pipe: commands, answers and events
//! in JSON with a zero byte after each, as the DevTools protocol has it.

use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use serde_json::{Value, json};
use tempfile::TempDir;

/// Nothing a page asks for takes as long.
const LONGEST: Duration = Duration::from_secs(60);

/// A browser with one page, ended when it is dropped.
pub struct Chromium {
    child: Child,
    commands: ChildStdin,
    said: Receiver<Value>,
    session: Option<String>,
    sent: u64,
    events: Vec<Value>,
    _profile: TempDir,
}

impl Drop for Chromium {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Chromium {
    /// Starts one with a profile of its own.
    pub fn start() -> Chromium {
        let profile = tempfile::tempdir().expect("a folder for the profile");
        let mut child = started(profile.path());
        let commands = child.stdin.take().expect("a pipe");
        let answers = BufReader::new(child.stdout.take().expect("a pipe"));
        let (tell, said) = channel();
        // Whoever waits for an answer can stop waiting.
        std::thread::spawn(move || {
            for message in answers.split(0).map_while(Result::ok) {
                let message = serde_json::from_slice(&message).expect("messages are JSON");
                if tell.send(message).is_err() {
                    return;
                }
            }
        });
        let (session, events) = (None, Vec::new());
        let mut browser =
            Chromium { child, commands, said, session, sent: 0, events, _profile: profile };
        let target = browser.call("Target.createTarget", json!({ "url": "about:blank" }));
        let attach = json!({ "targetId": target["targetId"], "flatten": true });
        let attached = browser.call("Target.attachToTarget", attach);
        browser.session = attached["sessionId"].as_str().map(str::to_owned);
        browser.call("Page.enable", json!({}));
        browser.call("Network.enable", json!({}));
        browser
    }

    /// Carries out a command of the protocol and returns its answer.
    pub fn call(&mut self, method: &str, params: Value) -> Value {
        self.sent += 1;
        let mut command = json!({ "id": self.sent, "method": method, "params": params });
        if let Some(session) = &self.session {
            command["sessionId"] = json!(session);
        }
        let bytes = [command.to_string().as_bytes(), &[0]].concat();
        self.commands.write_all(&bytes).expect("the browser runs");
        loop {
            let message = self.message(method);
            if message["id"] == self.sent {
                assert!(message["error"].is_null(), "{method}: {}", message["error"]);
                return message["result"].clone();
            }
            self.events.push(message);
        }
    }

    fn message(&self, awaited: &str) -> Value {
        self.said.recv_timeout(LONGEST).unwrap_or_else(|_| panic!("{awaited} has no answer"))
    }

    /// Opens a file; what was asked for meanwhile, file and all, by address.
    pub fn open(&mut self, file: &Path) -> Vec<String> {
        self.events.clear();
        let address = format!("file://{}", file.display());
        self.call("Page.navigate", json!({ "url": address }));
        while !self.events.iter().any(|event| event["method"] == "Page.loadEventFired") {
            let event = self.message("loading");
            self.events.push(event);
        }
        self.asked()
    }

    /// What was asked for since the file was opened, file and all, by address.
    pub fn asked(&self) -> Vec<String> {
        let is = |event: &&Value| event["method"] == "Network.requestWillBeSent";
        let asked = self.events.iter().filter(is);
        let url = |event: &Value| event["params"]["request"]["url"].as_str().map(str::to_owned);
        asked.filter_map(url).collect()
    }

    /// What a script says of the page, as JSON; it may be a promise.
    pub fn evaluate(&mut self, script: &str) -> Value {
        let params = json!({ "expression": script, "returnByValue": true, "awaitPromise": true });
        let answer = self.call("Runtime.evaluate", params);
        assert!(answer["exceptionDetails"].is_null(), "{}", answer["exceptionDetails"]);
        answer["result"]["value"].clone()
    }

    /// Shows the page as large as a window in CSS pixels, on a screen or as printed.
    pub fn shown(&mut self, media: &str, (wide, high): (u32, u32), is_phone: bool) {
        self.call("Emulation.setEmulatedMedia", json!({ "media": media }));
        let metrics = json!({
            "width": wide, "height": high, "deviceScaleFactor": 1, "mobile": is_phone
        });
        self.call("Emulation.setDeviceMetricsOverride", metrics);
    }

    /// The page as a PDF on its own sheet, with backgrounds left out as browsers do.
    pub fn pdf(&mut self) -> Vec<u8> {
        let printed = self.call("Page.printToPDF", json!({ "preferCSSPageSize": true }));
        let data = printed["data"].as_str().expect("the file is in the answer");
        BASE64_STANDARD.decode(data).expect("base64")
    }
}

/// The browser reads commands from its descriptor 3 and answers on 4; the shell puts them
/// there, because the standard library passes on only the first three.
fn started(profile: &Path) -> Child {
    const RUN: &str = "exec chromium \"$@\" 3<&0 4>&1 </dev/null >/dev/null 2>&1";
    let mut command = Command::new("sh");
    command.args(["-c", RUN, "sh", "--headless", "--remote-debugging-pipe"]);
    command.args(["--disable-gpu", "--no-first-run", "--hide-scrollbars"]);
    // Else it asks its maker for news; and root has no sandbox.
    command.args(["--disable-background-networking", "--disable-component-update"]);
    command.args(["--disable-sync", "--no-sandbox"]);
    command.arg(format!("--user-data-dir={}", profile.display()));
    command.stdin(Stdio::piped()).stdout(Stdio::piped());
    command.spawn().expect("a shell")
}
