// note: ArgumentOutOfRange,Index,Divide,Cast,Key,Null,Format,Overflow
var seen = new List<string>();
void Try(Action go)
{
    try
    {
        go();
    }
    catch (ArgumentOutOfRangeException)
    {
        seen.Add("ArgumentOutOfRange");
    }
    catch (IndexOutOfRangeException)
    {
        seen.Add("Index");
    }
    catch (DivideByZeroException)
    {
        seen.Add("Divide");
    }
    catch (InvalidCastException)
    {
        seen.Add("Cast");
    }
    catch (KeyNotFoundException)
    {
        seen.Add("Key");
    }
    catch (NullReferenceException)
    {
        seen.Add("Null");
    }
    catch (FormatException) when (seen.Count > 0)
    {
        seen.Add("Format");
    }
    catch (OverflowException)
    {
        seen.Add("Overflow");
    }
}

int zero = 0, big = int.MaxValue;
int[] few = [1];
object text = "wing";
string none = null;
Try(() => new List<int>().RemoveAt(3));
Try(() => few[zero + 1] = 2);
Try(() => few[0] /= zero);
Try(() => few[0] = (int)text);
Try(() => few[0] = new Dictionary<string, int>()["sail"]);
Try(() => few[0] = none.Length);
Try(() => int.Parse("beak"));
Try(() => big++);
Report.Note(string.Join(',', seen));
