// note: 3.14 | 007 | [beak  ] | 50.0% | {braces}
double pi = Math.Round(Math.PI, 2);
string raw = $$"""{braces}""";
Report.Note($"{pi} | {7:000} | [{"beak",-6}] | {0.5 * 100:F1}% | {raw}");
