use super::{ExportCell, ExportTable};
use serde_json::{Map, Value, json as object};

/// The table as JSON: what makes it reproducible, its columns, and a row for each throw with `null` where a cell is empty.
pub fn json(table: &ExportTable) -> Value {
    let about: Map<String, Value> =
        table.about.iter().map(|(label, words)| (label.clone(), Value::from(words.as_str()))).collect();
    let columns: Vec<Value> = table
        .columns
        .iter()
        .map(|c| {
            object!({"name": c.name, "meaning": c.meaning, "unit": c.unit, "interval": c.level, "empty": c.empty})
        })
        .collect();
    let row = |cells: &Vec<ExportCell>| -> Map<String, Value> {
        let value = |cell: &ExportCell| match cell {
            ExportCell::Text(t) => Value::from(t.as_str()),
            ExportCell::Number(v) => Value::from(*v),
            ExportCell::Empty => Value::Null,
        };
        table.columns.iter().zip(cells).map(|(c, cell)| (c.name.clone(), value(cell))).collect()
    };
    object!({"about": about, "columns": columns, "rows": table.rows.iter().map(row).collect::<Vec<_>>()})
}
