// note: say "wing" now | {7} and 7 | two lines: 2
int n = 7;
string quoted = """say "wing" now""";
string braces = $$"""{{{n}}} and {{n}}""";
string lines = """
    first
    second
    """;
Report.Note($"{quoted} | {braces} | two lines: {lines.Split('\n').Length}");
