// R4003
class Held : IDisposable
{
    public void Dispose()
    {
        while (true) { }
    }
}

using (new Held())
{
    throw new ArgumentException();
}
