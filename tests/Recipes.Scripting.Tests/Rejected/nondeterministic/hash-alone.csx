// R2003
record Beak(string Name)
{
    public override int GetHashCode() => 0;
}
