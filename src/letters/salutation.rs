//! How people write a name when they greet its bearer. The book keeps it as it was entered.

/// What follows a name behind a comma and is no first name.
const AFTER_A_NAME: [&str; 12] =
    ["jr", "sr", "ii", "iii", "iv", "phd", "md", "esq", "ltd", "inc", "gmbh", "llc"];

/// Words within a name that are written small where they do not begin it.
const SMALL: [&str; 19] = [
    "van", "von", "der", "den", "de", "del", "della", "di", "da", "du", "la", "le", "ten", "ter", "zu",
    "zum", "zur", "of", "the",
];

/// Marks that stand around a nickname: where it begins and where it ends.
const AROUND_A_NICKNAME: [(char, char); 9] = [
    ('"', '"'),
    ('\u{201C}', '\u{201D}'),
    ('\u{201E}', '\u{201C}'),
    ('\u{201E}', '\u{201D}'),
    ('\u{2018}', '\u{2019}'),
    ('\u{AB}', '\u{BB}'),
    ('(', ')'),
    ('[', ']'),
    ('\'', '\''),
];

/// The name in a salutation: "Surname; First" turned round, the nickname left out, with capitals as
/// people set them; nothing where it is no name.
pub(super) fn addressed(name: &str) -> Option<String> {
    let name = name.trim();
    // An address in the place of a name.
    if name.contains('@') || !name.chars().any(char::is_alphabetic) {
        return None;
    }
    Some(with_capitals(&turned_round(&without_nickname(name))))
}

fn without_nickname(name: &str) -> String {
    for (begins, ends) in AROUND_A_NICKNAME {
        let Some(from) = name.find(begins).filter(|from| stands_before_a_word(name, *from)) else { continue };
        let inside = from + begins.len_utf8();
        let Some(to) = name.get(inside..).and_then(|rest| rest.find(ends)).map(|to| inside + to) else {
            continue;
        };
        let behind = name.get(to + ends.len_utf8()..).unwrap_or_default();
        // An apostrophe within a name begins and ends nothing.
        if behind.chars().next().is_some_and(char::is_alphanumeric) {
            continue;
        }
        let left = format!("{} {behind}", name.get(..from).unwrap_or_default());
        if left.chars().any(char::is_alphabetic) {
            let left = left.split_whitespace().collect::<Vec<_>>().join(" ");
            // The blank that the nickname leaves before a comma.
            return without_nickname(&left.replace(" ,", ",").replace(" ;", ";"));
        }
    }
    name.to_owned()
}

fn stands_before_a_word(name: &str, place: usize) -> bool {
    name.get(..place).is_some_and(|before| !before.chars().next_back().is_some_and(char::is_alphanumeric))
}

fn turned_round(name: &str) -> String {
    let parts: Vec<&str> = name.split([';', ',']).map(str::trim).filter(|part| !part.is_empty()).collect();
    match parts.as_slice() {
        [surname, first] if !is_after_a_name(first) => format!("{first} {surname}"),
        [surname, first, last] if is_after_a_name(last) => format!("{first} {surname}"),
        // Several people, or what belongs behind the name.
        _ => name.trim_matches([';', ',', ' ']).to_owned(),
    }
}

fn is_after_a_name(word: &str) -> bool {
    AFTER_A_NAME.contains(&word.replace('.', "").to_lowercase().as_str())
}

fn with_capitals(name: &str) -> String {
    let all_small = !name.chars().any(char::is_uppercase);
    let all_large = !name.chars().any(char::is_lowercase);
    let words = name.split_whitespace().enumerate().map(|(place, word)| {
        let letters = word.chars().filter(|c| c.is_alphabetic()).count();
        // A surname in capitals beside a first name as usual; two or three letters may be initials.
        let shouted = letters >= 4 && !word.chars().any(char::is_lowercase);
        if is_after_a_name(word) || word.contains('.') || !(all_small || all_large || shouted) {
            return word.to_owned();
        }
        let small = word.to_lowercase();
        if place > 0 && SMALL.contains(&small.as_str()) { small } else { capitalised(&small) }
    });
    words.collect::<Vec<_>>().join(" ")
}

/// A word in small letters with its capitals: at its beginning, after a hyphen, after an apostrophe
/// with a name behind it, and after "Mc".
fn capitalised(word: &str) -> String {
    let letters: Vec<char> = word.chars().collect();
    let mut written = String::with_capacity(word.len());
    for (place, letter) in letters.iter().enumerate() {
        let before = place.checked_sub(1).and_then(|place| letters.get(place));
        let begins = match before {
            None | Some('-') => true,
            Some('\'' | '\u{2019}') => letters.len() - place > 2,
            Some(_) => place == 2 && letters.len() > 4 && word.starts_with("mc"),
        };
        if begins {
            written.extend(letter.to_uppercase());
        } else {
            written.push(*letter);
        }
    }
    written
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_written_as_people_write_them() {
        for (kept, written) in [
            ("Odalind Quarrie", "Odalind Quarrie"),
            ("O'Fletch; Rurik", "Rurik O'Fletch"),
            ("Quarrie, Odalind", "Odalind Quarrie"),
            ("Fletch, Rurik, Jr.", "Rurik Fletch"),
            ("Rurik Fletch, Jr.", "Rurik Fletch, Jr."),
            ("Quarrie; Odalind; Vane; Perrin", "Quarrie; Odalind; Vane; Perrin"),
            ("Wystan \"Wys\" Oakapple", "Wystan Oakapple"),
            ("Wystan \u{201C}Wys\u{201D} Oakapple", "Wystan Oakapple"),
            ("Wystan \u{201E}Wys\u{201C} Oakapple", "Wystan Oakapple"),
            ("Wystan 'Wys' Oakapple", "Wystan Oakapple"),
            ("Wystan (Wys) Oakapple", "Wystan Oakapple"),
            ("Oakapple, Wystan (Wys)", "Wystan Oakapple"),
            ("Oakapple (the younger); Wystan", "Wystan Oakapple"),
            ("\"Wys\"", "\"Wys\""),
            ("Rurik O'Fletch", "Rurik O'Fletch"),
            ("Maeve O'Dorn D'Arrow", "Maeve O'Dorn D'Arrow"),
            ("ODALIND QUARRIE", "Odalind Quarrie"),
            ("rurik o'fletch", "Rurik O'Fletch"),
            ("Odalind QUARRIE", "Odalind Quarrie"),
            ("QUARRIE, Odalind", "Odalind Quarrie"),
            ("anne-marie van der heyd", "Anne-Marie van der Heyd"),
            ("ANNE-MARIE VON DER HEYD", "Anne-Marie von der Heyd"),
            ("perrin mcallen", "Perrin McAllen"),
            ("J. R. VANE", "J. R. Vane"),
            ("RK Vane", "RK Vane"),
            ("McAllen MacDorn", "McAllen MacDorn"),
            ("Ødger Ævarr", "Ødger Ævarr"),
            ("ŁUKASZ ŻAK", "Łukasz Żak"),
            ("山田 太郎", "山田 太郎"),
            ("Vane,", "Vane"),
            ("\" \" Vane", "Vane"),
        ] {
            assert_eq!(addressed(kept).as_deref(), Some(written), "{kept}");
        }
        for none in ["", "  ", "17", "odalind@example.org", "\"\""] {
            assert_eq!(addressed(none), None, "{none}");
        }
    }
}
