//! Sums at the table: each answers in the browser what it answers on the command line.

use dimity::dating::Conventions;
use dimity::reckon::Calculator;

use crate::bench::Bench;

/// A text as a page writes it.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;").replace('\'', "&#39;")
}

fn asked(word: &str, line: &str) -> String {
    let query = form_urlencoded::Serializer::new(String::new()).append_pair(word, line).finish();
    format!("/reckon?{query}")
}

#[test]
fn every_example_of_every_sum_is_answered_as_on_the_command_line() {
    let bench = Bench::by_link(&[]);
    for calculator in Calculator::ALL {
        let help = calculator.help();
        assert!(!help.examples.is_empty(), "{} has a line to try", help.word);
        for line in help.examples {
            let answer = calculator.answer(line, &Conventions::default());
            let answer = answer.unwrap_or_else(|e| panic!("the example `{line}` of {} is answered: {e}", help.word));
            let page = bench.get(&asked(help.word, line)).is(200).text();
            let page = page.replace("&#x2F;", "/").replace("&#x27;", "&#39;");
            assert!(page.contains(&escaped(&answer.text)), "{} {line}: {} stands in {page}", help.word, answer.text);
        }
    }
}

#[test]
fn lines_are_answered_one_by_one_and_a_bad_one_says_why() {
    let bench = Bench::by_link(&[]);
    let page = bench.get("/reckon?length=27+1%2F2+in%0A12+parsnips%0A%0A10+cm").is(200).text();
    for text in ["698.5 ± 0.9 mm", "10 cm</span>", "parsnips"] {
        assert!(page.contains(text), "{text} stands in the page");
    }
    assert!(page.contains("class=\"amiss\""), "what cannot be read is marked");
    let part = bench.get("/reckon/length/answers?lines=27+1%2F2+in").is(200).text();
    assert!(part.contains("698.5") && !part.contains("<html"), "the script is given the answers alone: {part}");
    bench.get("/reckon/alchemy/answers?lines=1").is(404);
    let many = "1 cm%0A".replace(' ', "+").repeat(101);
    let page = bench.get(&format!("/reckon?length={many}")).is(200).text();
    assert!(page.contains("and 1 lines more"), "what is not worked out is counted");
}

#[test]
fn dates_are_read_by_the_conventions_of_the_collection() {
    let mut bench = Bench::by_link(&[]);
    assert!(bench.get("/reckon?date=c.+1800").text().contains("1795 to 1805"));
    let ten = Conventions { circa_years: 10, ..Conventions::default() };
    bench.desk.catalogue.set_conventions("test", "ten", &ten).expect("chosen");
    assert!(bench.get("/reckon?date=c.+1800").text().contains("1790 to 1810"));
}

#[test]
fn what_is_written_is_shown_as_written() {
    let bench = Bench::by_link(&[]);
    let page = bench.get("/reckon?length=%3C%2Ftextarea%3E%3Cscript%3Ealert(1)%3C%2Fscript%3E").is(200).text();
    assert!(!page.contains("<script>alert"), "a line opens no element");
}
