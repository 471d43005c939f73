// R4003
class Sail
{
    public override string ToString()
    {
        while (true) { }
    }
}

Report.Note($"{new Sail()}");
