// note: open a, open b, work, close b, close a
var log = new List<string>();
class Held(string name, List<string> log) : IDisposable
{
    public Held Open()
    {
        log.Add("open " + name);
        return this;
    }

    public void Dispose() => log.Add("close " + name);
}

void Work()
{
    using var a = new Held("a", log).Open();
    using (new Held("b", log).Open())
    {
        log.Add("work");
    }
}

Work();
Report.Note(string.Join(", ", log));
