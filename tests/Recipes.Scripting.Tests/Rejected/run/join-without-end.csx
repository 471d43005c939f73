// R4004
IEnumerable<string> Endless()
{
    while (true)
    {
        yield return "puffin";
    }
}

Report.Note(string.Join(",", Endless()));
