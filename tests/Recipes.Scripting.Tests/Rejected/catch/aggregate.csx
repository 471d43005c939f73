// R2002
try
{
    Report.Note("x");
}
catch (AggregateException)
{
}
