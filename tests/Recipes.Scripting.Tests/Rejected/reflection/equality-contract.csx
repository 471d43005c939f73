// R2002
record Beak(int Level)
{
    public string Kind => EqualityContract.Name;
}

Report.Note(new Beak(1).Kind);
