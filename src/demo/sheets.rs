//! The sheets of the invented collection, in the order in which they are entered: models before what is made after them.

macro_rules! sheets {
    ($($name:literal)*) => {
        &[$(($name, include_str!(concat!("../../fixtures/demo/sheets/", $name)))),*]
    };
}

/// Name and text of each sheet.
pub const SHEETS: &[(&str, &str)] = sheets! {
    "01-2016.9-2017.toml"
    "02-2017.1-2017.toml"
    "03-2017.4a-b-2017.toml"
    "04-2018.2-2018.toml"
    "05-2018.7-2019.toml"
    "06-2019.1-2019.toml"
    "07-2019.5a-c-2019.toml"
    "08-2020.3-2020.toml"
    "09-2021.2-2021.toml"
    "10-2021.P1-2021.toml"
    "11-2018.7-2021-treatment.toml"
    "12-2022.M1-2022.toml"
    "13-2022.6-2022.toml"
    "13a-2020.3-2022.toml"
    "14-2023.R1-2023.toml"
    "14a-2020.3-2023.toml"
    "15-2024.R2-2024.toml"
    "16-2018.2-2025.toml"
    "17-2018.7-2025.toml"
    "18-2020.3-2025.toml"
    "19-2018.2-2025-treatment.toml"
};
