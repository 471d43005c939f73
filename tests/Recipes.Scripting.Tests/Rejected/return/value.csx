// R2003 source
class Evil : IDisposable
{
    public void Dispose()
    {
        while (true) { }
    }

    public override string ToString() => throw new ArgumentException();
}

return new Evil();
