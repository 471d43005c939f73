// R4003
string text = new('x', 1_000_000);
while (true)
{
    Report.Note(text);
}
