// R2002
record Beak(int Level)
{
    protected virtual Type EqualityContract => null;
}
