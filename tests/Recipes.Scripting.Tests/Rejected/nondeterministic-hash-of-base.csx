// R2002
class Wing
{
    public override int GetHashCode() => base.GetHashCode();
}
