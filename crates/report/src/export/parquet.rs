use super::{ExportCell, ExportError, ExportTable};
use parquet::basic::{LogicalType, Repetition, Type as Physical};
use parquet::data_type::{ByteArray, ByteArrayType, DoubleType};
use parquet::errors::ParquetError;
use parquet::file::metadata::KeyValue;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::SerializedFileWriter;
use parquet::schema::types::Type;
use std::sync::Arc;

/// The rows as an Apache Parquet file, uncompressed: numbers as doubles, words as UTF-8, empty cells as nulls. What makes the table
/// reproducible, and the meaning of every column, are in the file's key-value metadata.
///
/// # Errors
/// `Refused`.
pub fn parquet(table: &ExportTable) -> Result<Vec<u8>, ExportError> {
    written(table).map_err(|e| ExportError::Refused { form: "Parquet", reason: e.to_string() })
}

fn written(table: &ExportTable) -> Result<Vec<u8>, ParquetError> {
    let field = |c: &super::ExportColumn| {
        let physical = if c.number { Physical::DOUBLE } else { Physical::BYTE_ARRAY };
        let logical = (!c.number).then_some(LogicalType::String);
        Type::primitive_type_builder(&c.name, physical)
            .with_repetition(Repetition::OPTIONAL)
            .with_logical_type(logical)
            .build()
            .map(Arc::new)
    };
    let fields = table.columns.iter().map(field).collect::<Result<_, _>>()?;
    let schema = Arc::new(Type::group_type_builder("throws").with_fields(fields).build()?);
    let about = table.about.iter().map(|(k, v)| KeyValue::new(k.clone(), v.clone()));
    let meanings = table.columns.iter().map(|c| {
        let unit = if c.unit.is_empty() { String::new() } else { format!(" [{}]", c.unit) };
        KeyValue::new(format!("column {}", c.name), format!("{}{unit}; empty: {}", c.meaning, c.empty))
    });
    let properties = WriterProperties::builder()
        .set_created_by("tapemeasure".to_owned())
        .set_key_value_metadata(Some(about.chain(meanings).collect()))
        .build();
    let mut bytes = Vec::new();
    let mut file = SerializedFileWriter::new(&mut bytes, schema, Arc::new(properties))?;
    let mut group = file.next_row_group()?;
    let mut k = 0;
    while let Some(mut column) = group.next_column()? {
        let cells = || table.rows.iter().map(|r| &r[k]);
        if table.columns[k].number {
            let number = |c: &ExportCell| if let ExportCell::Number(v) = c { Some(*v) } else { None };
            let values: Vec<f64> = cells().filter_map(number).collect();
            let levels: Vec<i16> = cells().map(|c| i16::from(number(c).is_some())).collect();
            column.typed::<DoubleType>().write_batch(&values, Some(&levels), None)?;
        } else {
            let text = |c: &ExportCell| {
                if let ExportCell::Text(t) = c { Some(ByteArray::from(t.as_str())) } else { None }
            };
            let values: Vec<ByteArray> = cells().filter_map(text).collect();
            let levels: Vec<i16> = cells().map(|c| i16::from(matches!(c, ExportCell::Text(_)))).collect();
            column.typed::<ByteArrayType>().write_batch(&values, Some(&levels), None)?;
        }
        column.close()?;
        k += 1;
    }
    group.close()?;
    file.close()?;
    Ok(bytes)
}
