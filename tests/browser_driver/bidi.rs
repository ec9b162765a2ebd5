//! A line to a browser in the W3C's WebDriver BiDi protocol: commands there and answers back, and what the console is told.

use futures_util::{SinkExt, StreamExt};
use serde_json::{Value, json};
use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::net::TcpStream;
use tokio::sync::{mpsc, oneshot};
use tokio_tungstenite::tungstenite::Message;
use tokio_tungstenite::{MaybeTlsStream, WebSocketStream, connect_async};

type Socket = WebSocketStream<MaybeTlsStream<TcpStream>>;

/// A command and where its answer goes.
type Asked = (Value, oneshot::Sender<Value>);

pub struct Line {
    ask: mpsc::UnboundedSender<Asked>,
    heard: Heard,
}

/// The errors that the console was told and that nobody has asked for yet.
type Heard = Arc<Mutex<Vec<String>>>;

impl Line {
    /// Connects to the address that the browser gave.
    pub async fn open(address: &str) -> Self {
        let (socket, _) = connect_async(address).await.expect("the browser listens where it says");
        let (ask, asked) = mpsc::unbounded_channel();
        let heard = Heard::default();
        tokio::spawn(hold(socket, asked, heard.clone()));
        Self { ask, heard }
    }

    /// Sends a command and waits for its result.
    pub async fn ask(&self, method: &str, params: Value) -> Value {
        let (to, answer) = oneshot::channel();
        let command = json!({ "method": method, "params": params });
        self.ask.send((command, to)).expect("the line is open");
        let answer = answer.await.expect("the line stays open");
        assert_eq!(answer["type"], "success", "{method}: {answer}");
        answer["result"].clone()
    }

    /// The errors that the console has been told since the last call.
    pub fn errors(&self) -> Vec<String> {
        std::mem::take(&mut *self.heard.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// Carries both ways until either side ends.
async fn hold(mut socket: Socket, mut asked: mpsc::UnboundedReceiver<Asked>, heard: Heard) {
    let mut waiting: HashMap<u64, oneshot::Sender<Value>> = HashMap::new();
    let mut id = 0;
    loop {
        tokio::select! {
            command = asked.recv() => {
                let Some((mut command, to)) = command else { return };
                id += 1;
                command["id"] = id.into();
                waiting.insert(id, to);
                if socket.send(Message::text(command.to_string())).await.is_err() {
                    return;
                }
            }
            message = socket.next() => {
                let Some(Ok(message)) = message else { return };
                let Ok(message) = message.to_text().map(serde_json::from_str::<Value>) else { continue };
                let Ok(message) = message else { continue };
                if message["method"] == "log.entryAdded" && message["params"]["level"] == "error" {
                    let text = message["params"]["text"].as_str().unwrap_or_default().to_owned();
                    heard.lock().unwrap_or_else(PoisonError::into_inner).push(text);
                } else if let Some(to) = message["id"].as_u64().and_then(|id| waiting.remove(&id)) {
                    // Nobody waits any more when the test has failed meanwhile.
                    let _ = to.send(message);
                }
            }
        }
    }
}
