// note: wing 12, tail 7, covered
abstract class Part(string name)
{
    protected abstract int Feathers { get; }
    public virtual string Tell() => $"{name} {Feathers}";
    public virtual Part Copy() => this;
}

class Wing() : Part("wing")
{
    protected override int Feathers => 12;
    public override Wing Copy() => new();
}

sealed class Tail : Part
{
    private readonly int feathers;
    public Tail(int feathers) : base("tail") => this.feathers = feathers;
    protected override int Feathers => feathers;
    public new string Tell() => base.Tell() + ", covered";
}

Report.Note($"{new Wing().Copy().Tell()}, {new Tail(7).Tell()}");
