// note: [ab;ab] 7 xaby
var text = new System.Text.StringBuilder("[");
text.Append("ab").Append(';').AppendFormat("{0}", "ab").Append(']');
var other = new System.Text.StringBuilder();
other.Append('a').AppendJoin("", ["b", "y"]).Insert(0, "x");
Report.Note($"{text} {text.Length} {other}");
