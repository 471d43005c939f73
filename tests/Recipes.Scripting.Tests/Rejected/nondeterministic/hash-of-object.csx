// R2003
class Wing
{
    public override bool Equals(object other) => true;
}

int n = Enumerable.Range(0, 200000).Select(_ => new Wing()).Distinct().Count();
