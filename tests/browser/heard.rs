//! What somebody hears who cannot see the page: the browser's accessibility tree, told from top to bottom.

use crate::browser_driver::Driver;
use serde_json::{Value, json};
use std::collections::HashMap;

/// One thing that is told: its role as WAI-ARIA 1.2 names it, its name, and what it says of its state.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Heard {
    pub role: String,
    pub name: String,
    pub state: String,
}

/// Roles that a person presses, types into or chooses, and that are nothing without a name.
pub const WORKED: [&str; 9] = [
    "button",
    "link",
    "checkbox",
    "radio",
    "textbox",
    "searchbox",
    "combobox",
    "spinbutton",
    "DisclosureTriangle",
];

/// Others whose name is told and whose insides say the same again, as those above.
const WHOLE: [&str; 5] = ["heading", "option", "image", "img", "StaticText"];

/// Roles that begin and end a piece of text.
const BLOCKS: [&str; 9] = [
    "paragraph",
    "listitem",
    "term",
    "definition",
    "cell",
    "columnheader",
    "rowheader",
    "LabelText",
    "Legend",
];

/// Roles that are told before what is in them.
const AROUND: [&str; 14] = [
    "main",
    "navigation",
    "banner",
    "contentinfo",
    "region",
    "form",
    "group",
    "radiogroup",
    "list",
    "table",
    "status",
    "alert",
    "figure",
    "note",
];

/// The page that is open, in the order in which it is told.
pub async fn heard(driver: &Driver) -> Vec<Heard> {
    driver.devtools("Accessibility.enable", json!({})).await;
    let tree = driver.devtools("Accessibility.getFullAXTree", json!({})).await;
    let nodes: HashMap<&str, &Value> = tree["nodes"]
        .as_array()
        .expect("a tree has nodes")
        .iter()
        .map(|node| (node["nodeId"].as_str().expect("a node has an id"), node))
        .collect();
    let root = tree["nodes"][0]["nodeId"].as_str().expect("the first is the page");
    let mut told = Vec::new();
    tell(&nodes, root, &mut told);
    driver.devtools("Accessibility.disable", json!({})).await;
    // What only kept two texts apart is told by nobody.
    told.retain(|one| !BLOCKS.contains(&one.role.as_str()));
    told
}

fn tell(nodes: &HashMap<&str, &Value>, id: &str, told: &mut Vec<Heard>) {
    let Some(node) = nodes.get(id) else { return };
    let role = node["role"]["value"].as_str().unwrap_or_default();
    let name = node["name"]["value"].as_str().unwrap_or_default().trim();
    let ignored = node["ignored"] == json!(true);
    let heard = || Heard {
        role: role.to_owned(),
        name: name.to_owned(),
        state: state(node),
    };
    if !ignored && (WHOLE.contains(&role) || WORKED.contains(&role)) {
        // Text of a paragraph that is cut up by words set apart is told in one go.
        match told.last_mut() {
            Some(last) if role == "StaticText" && last.role == role => last.name = format!("{} {name}", last.name),
            _ => told.push(heard()),
        }
        return;
    }
    let block = !ignored && BLOCKS.contains(&role);
    if block || !ignored && (AROUND.contains(&role) || !name.is_empty() && role != "RootWebArea") {
        told.push(heard());
    }
    for child in node["childIds"].as_array().into_iter().flatten() {
        tell(nodes, child.as_str().unwrap_or_default(), told);
    }
    if block {
        told.push(heard());
    }
}

/// Level, checked, expanded, chosen and the like, as the tree has them.
fn state(node: &Value) -> String {
    let wanted = [
        "level", "checked", "pressed", "expanded", "selected", "required", "disabled", "invalid",
    ];
    let mut words: Vec<String> = node["properties"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|property| {
            let name = property["name"].as_str().filter(|name| wanted.contains(name))?;
            let value = &property["value"]["value"];
            let said = value.as_str().map_or_else(|| value.to_string(), str::to_owned);
            (said != "false").then(|| format!("{name} {said}"))
        })
        .collect();
    if let Some(value) = node["value"]["value"].as_str().filter(|value| !value.is_empty()) {
        words.push(format!("value {value}"));
    }
    if let Some(says) = node["description"]["value"].as_str().filter(|says| !says.is_empty()) {
        words.push(format!("described: {says}"));
    }
    words.join(", ")
}

/// As a text to be read through.
pub fn as_text(told: &[Heard]) -> String {
    let line = |one: &Heard| match (one.role.as_str(), one.state.as_str()) {
        ("StaticText", _) => format!("{}\n", one.name),
        (role, "") => format!("[{role}] {}\n", one.name),
        (role, state) => format!("[{role}, {state}] {}\n", one.name),
    };
    told.iter().map(line).collect()
}
