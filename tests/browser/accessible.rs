//! Whether a page that is open can be used by everybody, as axe-core sees it, in each way that it may look.

use super::page::LAY_OUT_ALL;
use super::tools::tool;
use crate::browser_driver::Driver;
use serde_json::{Value, json};
use std::sync::LazyLock;

/// Width and height in CSS pixels: a phone held upright, and a desk.
const SIZES: [(u32, u32); 2] = [(390, 844), (1280, 800)];

static CHECKER: LazyLock<String> = LazyLock::new(|| {
    std::fs::read_to_string(tool("node_modules/axe-core/axe.min.js")).expect("the checker is a text file")
});

/// All rules on the whole page, in the look that the page believes to have. The store's frame holds nothing to see. A page that was
/// just made narrower has set out its tables anew by the third frame; nobody sees it before.
const CHECK: &str = "const done = arguments[0]; \
    const frames = (left, then) => (left ? requestAnimationFrame(() => frames(left - 1, then)) : then()); \
    frames(3, () => axe.run(document, { resultTypes: ['violations'], iframes: false }).then((result) => done({ \
        width: innerWidth, dark: matchMedia('(prefers-color-scheme: dark)').matches, rules: result.passes.length, \
        found: result.violations.flatMap((rule) => rule.nodes.map((node) => \
            `${rule.id}: ${rule.help}: ${node.html} ${node.any.concat(node.all, node.none).map((check) => check.message).join('; ')}`)) }), \
        (error) => done(String(error))));";

/// What is wrong with the page that is open, light and dark, on a phone and on a desk. Afterwards it looks as on a light desk.
pub async fn complaints(driver: &Driver, name: &str) -> Vec<String> {
    let mut complaints = Vec::new();
    driver
        .execute(CHECKER.as_str(), Vec::new())
        .await
        .expect("the checker runs under the page's policy");
    driver
        .execute(LAY_OUT_ALL, Vec::new())
        .await
        .expect("all of the page is laid out");
    for scheme in ["dark", "light"] {
        let media = json!({ "features": [{ "name": "prefers-color-scheme", "value": scheme }] });
        driver.devtools("Emulation.setEmulatedMedia", media).await;
        for (width, height) in SIZES {
            let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
            driver.devtools("Emulation.setDeviceMetricsOverride", size).await;
            let answer = driver
                .execute_async(CHECK, Vec::new())
                .await
                .expect("the checker answers")
                .json()
                .clone();
            // A checker that looked at nothing, or at another look than meant, would find nothing.
            assert_eq!(answer["width"], json!(width), "{name}: {answer}");
            assert_eq!(answer["dark"], json!(scheme == "dark"), "{name}: {answer}");
            assert!(answer["rules"].as_u64() > Some(3), "{name}: {answer}");
            let found = answer["found"].as_array().cloned().unwrap_or_default();
            complaints.extend(
                found
                    .iter()
                    .filter_map(Value::as_str)
                    .map(|found| format!("{name}, {scheme}, {width} px: {found}")),
            );
        }
    }
    complaints
}
