// R2002
record Beak(string Name)
{
    public override string ToString() => System.IO.File.ReadAllText(Name);
}

Report.Note($"{new Beak("/etc/passwd")}");
