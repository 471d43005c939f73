// note: PUFFIN|niffup|pu-ffin|2|True|1,5
var text = " puffin ".Trim();
var builder = new System.Text.StringBuilder();
for (int i = text.Length - 1; i >= 0; i--)
{
    builder.Append(text[i]);
}

builder.Append($"{""}");
string dashed = text.Insert(2, "-");
bool parsed = int.TryParse("2", out int two) && double.Parse("1.5") == 1.5;
string joined = 'p' + text[1..2] + "ffin" == "puffin" ? text.ToUpperInvariant() : "no";
Report.Note(string.Join("|", joined, builder.ToString(), dashed, two.ToString(), parsed.ToString(), "1.5".Replace('.', ',')));
