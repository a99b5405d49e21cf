//! Shares of an analytic engine's gain against the library `shap`, whose numbers stand in `checks/payoff_shapley/`.

use headroom::attribution::exact_shares;
use serde_json::Value;

const REFERENCE: &str = include_str!("../../../checks/payoff_shapley/shares.json");

#[test]
fn val_shap_exact_explainer() {
    let reference: Value = serde_json::from_str(REFERENCE).expect("JSON");
    let numbers = |key: &str| -> Vec<f64> {
        let list = reference[key].as_array().expect("a list");
        list.iter().map(|one| one.as_f64().expect("a number")).collect()
    };
    let (values, expected) = (numbers("values_n_m"), numbers("shares_n_m"));
    assert_eq!((values.len(), expected.len()), (256, 8));
    let shares = exact_shares(&values);
    for (share, expected) in shares.iter().zip(&expected) {
        // Two ways of adding up 128 differences of some tens of newton metres.
        assert!((share - expected).abs() < 1e-9, "{share} N m, {expected} N m expected");
    }
    assert_eq!(shares[7], 0.0);
    let whole = values[255] - values[0];
    assert!((shares.iter().sum::<f64>() - whole).abs() < 1e-9);
}
