//! Drawings → what a page may print of them. A drawing stands in the page itself, where its parts can be tapped, so whatever could act,
//! load or clash with the page is refused: only shapes and words are let in.

use super::is_id;
use crate::model::{Binding, Drawing, Inline};
use crate::theme::Theme;
use roxmltree::{Document, Node, NodeType};

const SVG: &str = "http://www.w3.org/2000/svg";

/// Elements of SVG 2 that draw or say something and nothing else.
const ELEMENTS: [&str; 13] = [
    "svg", "g", "title", "desc", "path", "rect", "circle", "ellipse", "line", "polyline", "polygon", "text", "tspan",
];

/// Every drawing of the theme, sorted by name.
pub fn drawings(theme: &Theme) -> Vec<Drawing> {
    theme
        .drawings()
        .map(|(name, bytes)| Drawing {
            name: name.to_owned(),
            content: std::str::from_utf8(bytes)
                .map_err(|_| "it is not UTF-8".to_owned())
                .and_then(inline),
        })
        .collect()
}

/// Reads the text of a drawing.
fn inline(text: &str) -> Result<Inline, String> {
    let document = Document::parse(text).map_err(|error| format!("it is not well formed: {error}"))?;
    let root = document.root_element();
    if !root.has_tag_name((SVG, "svg")) || root.attribute("viewBox").is_none() || root.attribute("role") != Some("img")
    {
        return Err(format!(
            "it must begin <svg xmlns=\"{SVG}\" viewBox=\"…\" role=\"img\">"
        ));
    }
    for name in ["title", "desc"] {
        let says = root.children().find(|child| child.has_tag_name((SVG, name)));
        if says.is_none_or(|says| says.text().unwrap_or_default().trim().is_empty()) {
            return Err(format!(
                "it has no <{name}>, so whoever cannot see it is told nothing: its title names it, its desc says what is where"
            ));
        }
    }
    let mut parts: Vec<String> = Vec::new();
    let mut bindings = Vec::new();
    for node in document.descendants() {
        refuse(&node)?;
        if let Some(part) = node.attribute("data-part") {
            if !is_id(part) {
                return Err(format!(
                    "`data-part=\"{part}\"` cannot be an id: use lower-case letters, digits and single hyphens"
                ));
            }
            if parts.iter().any(|known| known == part) {
                return Err(format!("two of its parts are called `{part}`"));
            }
            parts.push(part.to_owned());
        }
        if let Some(when) = node.attribute("data-when") {
            bindings.push(Binding::read(when).ok_or_else(|| {
                format!("`data-when=\"{when}\"` cannot be read: write it like `sweep: up, guard; table: low`")
            })?);
        }
    }
    Ok(Inline {
        svg: text[root.range()].to_owned(),
        parts,
        bindings,
    })
}

fn refuse(node: &Node) -> Result<(), String> {
    let name = node.tag_name().name();
    match node.node_type() {
        NodeType::PI => return Err("it holds a processing instruction; the page can do without".to_owned()),
        NodeType::Element if node.tag_name().namespace() != Some(SVG) || !ELEMENTS.contains(&name) => {
            return Err(format!(
                "it holds <{name}>; only shapes and words may stand in it ({})",
                ELEMENTS.join(", ")
            ));
        }
        _ => {}
    }
    for attribute in node.attributes() {
        let name = attribute.name();
        let acts = name.starts_with("on") || ["style", "id", "href", "tabindex"].contains(&name);
        if acts || attribute.namespace().is_some() || attribute.value().contains("url(") {
            return Err(format!(
                "it holds `{name}=\"{}\"`; scripts, styles, links and ids may not stand in it: use classes of the theme, or fill and stroke",
                attribute.value()
            ));
        }
    }
    Ok(())
}
