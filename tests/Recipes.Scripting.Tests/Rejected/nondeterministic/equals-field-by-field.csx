// R2003
class Beak
{
    public string Name;

    public override bool Equals(object other) => other is Beak beak && beak.Name == Name;
    public override int GetHashCode() => Name.Length;
}
