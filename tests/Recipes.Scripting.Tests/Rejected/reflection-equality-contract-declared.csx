// R2002 source
record Beak(int Level)
{
    protected virtual Type EqualityContract => null;
}
