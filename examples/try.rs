use soleplate::package::*;
fn main() {
    let root = std::env::args().nth(1).unwrap();
    let (p, f) = Package::open(Box::new(Disk::new(root))).unwrap();
    for d in f { println!("{d}"); }
    let sheets: Vec<String> = p.sheets().map(str::to_owned).collect();
    for s in sheets {
        let b = p.build(&s);
        println!("== {s}: {} findings", b.findings.len());
        for d in &b.findings { println!("{d}\n   {:?} {:?}", d.notes, d.help); for l in d.labels.iter().skip(1) { println!("   also {}:{:?} {}", l.source.name, l.source.position(l.span.start), l.text); } }
        if let Some(t) = &b.trace {
            println!("{:?}", t.verdict_of_sheet());
            for id in &t.order {
                let l = t.compiled.notes.line(*id);
                println!("{:>3} {:?} {} {:?} = {:?} {:?}", t.number(*id), t.compiled.notes.scope(l.scope).path, l.symbol.clone().unwrap_or_default(), l.description, t.numbers_of(&l.value), t.state(*id));
            }
            for (id, c) in t.checks() { println!("check {} {:?} {}", t.number(id), t.verdict(id, c), t.register(c.ratio)); }
        }
    }
}
