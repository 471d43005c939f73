// R2003
class Wing
{
    public override int GetHashCode() => base.GetHashCode();
}
