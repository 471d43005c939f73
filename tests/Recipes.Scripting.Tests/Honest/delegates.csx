// note: ab 3 6
delegate int Rule(int level);
Action<string> say = null;
string said = "";
say += text => said += text;
say += text => said += text.ToUpperInvariant() == "A" ? "b" : "";
say("a");
Rule triple = level => level * 3;
int? maybe = null;
int known = maybe ?? 3;
Report.Note($"{said} {known} {triple(2)}");
