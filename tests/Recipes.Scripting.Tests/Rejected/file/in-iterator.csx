// R2002
IEnumerable<string> Lines()
{
    yield return System.IO.File.ReadAllText("/etc/passwd");
}

Report.Note(Lines().First());
