// note: round puffin, sharp beak, plain sail
interface IShape
{
    string Name { get; }
    string Tell() => $"plain {Name}";
}

class Puffin : IShape
{
    public string Name => "puffin";
    string IShape.Tell() => $"round {Name}";
}

class Beak : IShape
{
    public string Name => "beak";
    public string Tell() => "sharp beak";
}

class Sail : IShape
{
    public string Name => "sail";
}

Report.Note(string.Join(", ", new IShape[] { new Puffin(), new Beak(), new Sail() }.Select(shape => shape.Tell())));
