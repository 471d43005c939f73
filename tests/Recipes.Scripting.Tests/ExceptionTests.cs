using Recipes.Checking;

namespace Recipes_Scripting_Tests;

/// <summary>
/// What a failure left behind (its text with the methods it passed through, its message with what the machine said) never gets into a recipe's
/// hands. The ways are those of the C# 14 reference, chapters conversions, patterns and expressions: wherever a value changes its type
/// without a cast that could be seen, and wherever one is kept.
/// </summary>
public class ExceptionTests
{
    private const string Once = "class Once(FormatException e) { bool done; public Once GetEnumerator() => this; "
        + "public bool MoveNext() => !done && (done = true); public FormatException Current => e; }";

    // What is declared, and what is done with e, which is caught.
    private static readonly (string Way, string Declared, string Done)[] Ways =
    [
        ("loop variable", "",
            "foreach (object told in Of(e)) { Report.Note($\"{told}\"); } IEnumerable<FormatException> Of(FormatException one) { yield return one; }"),
        ("loop over own enumerator", Once, "foreach (object told in new Once(e)) { Report.Note($\"{told}\"); }"),
        ("deconstruction", "class Pair(FormatException e) { public void Deconstruct(out FormatException one, out int two) { one = e; two = 1; } }",
            "object told; int two; (told, two) = new Pair(e); Report.Note($\"{told}\");"),
        ("spread", Once, "object[] all = [.. new Once(e)]; Report.Note(string.Join(' ', all));"),
        ("delegate of a delegate", "delegate FormatException Give(); delegate object Told();",
            "Give give = () => e; var told = new Told(give); Report.Note($\"{told()}\");"),
        ("own conversion", "class Box { public string Text; public static implicit operator Box(FormatException e) => new() { Text = $\"{(object)e}\" }; }",
            "Box box = e; Report.Note(box.Text);"),
        ("conversion in a loop", "class Box { public object One; public static implicit operator Box(FormatException e) => new() { One = e }; } " + Once,
            "foreach (Box box in new Once(e)) { Report.Note($\"{box.One}\"); }"),
        ("indexer",
            "abstract class Held { public abstract object this[int i] { get; } } "
                + "class Caught(FormatException e) : Held { public override FormatException this[int i] => e; }",
            "Held held = new Caught(e); Report.Note($\"{held[0]}\");"),
        ("property",
            "abstract class Held { public abstract object One { get; } } class Caught(FormatException e) : Held { public override FormatException One => e; }",
            "Held held = new Caught(e); Report.Note($\"{held.One}\");"),
        ("out parameter", "void Give(FormatException one, out object told) { told = one; }", "Give(e, out var told); Report.Note($\"{told}\");"),
        ("pattern with a name", "", "if (e is var told and object one) { Report.Note($\"{one}\"); }"),
        ("pattern of properties", "", "if (e is { } told) { Report.Note(told.ToString()); }"),
        ("pattern of a message", "", "if (e is { Message: var told }) { Report.Note(told); }"),
        ("message", "", "Report.Note(e.Message);"),
        ("inner exception", "", "Report.Note($\"{e.InnerException}\");"),
        ("message in a filter", "", "} catch (OverflowException e) when (Say(e.Message)) { } bool Say(string told) { Report.Note(told); return true; } {"),
        ("filter", "string last = \"\";", "} catch (OverflowException e) when ((last = e.ToString()).Length > 0) { Report.Note(last);"),
        ("type parameter", "class Held<T>(T one) where T : Exception { public override string ToString() => one.ToString(); }",
            "Report.Note($\"{new Held<FormatException>(e)}\");"),
        ("generic method, inferred", "string Told<T>(T one) => $\"{one}\";", "Report.Note(Told(e));"),
        ("ref local", "", "Exception one = e; ref Exception told = ref one; Report.Note(told.ToString());"),
        ("ref parameter", "void Say(in FormatException one) => Report.Note(one.ToString());", "Say(e);"),
        ("switch expression", "", "object told = e switch { FormatException one => one, _ => \"\" }; Report.Note($\"{told}\");"),
        ("switch statement", "", "switch (e) { case FormatException one: Report.Note(one.ToString()); break; }"),
        ("conditional", "", "object told = e.Message.Length > 0 ? e : \"\"; Report.Note($\"{told}\");"),
        ("coalescing", "object none = null;", "object told = none ?? e; Report.Note($\"{told}\");"),
        ("record", "record Held(Exception One);", "Report.Note(new Held(e).ToString());"),
        ("struct", "struct Held { public Exception One; }", "Report.Note(new Held { One = e }.One.ToString());"),
        ("lambda, inferred", "", "var told = () => e; Report.Note($\"{told()}\");"),
        ("lambda of objects", "", "Func<object> told = () => e; Report.Note($\"{told()}\");"),
        ("local function", "", "Report.Note($\"{Told()}\"); object Told() => e;"),
        ("anonymous type", "", "Report.Note($\"{new { e }}\");"),
        ("tuple", "", "(object, int) told = (e, 1); Report.Note($\"{told}\");"),
        ("array", "", "object[] told = { e }; Report.Note($\"{told[0]}\");"),
        ("params array", "", "Report.Note(string.Format(\"{0}\", e));"),
        ("params span", "", "Report.Note(string.Concat(\"\", e));"),
        ("collection expression", "", "List<object> told = [e]; Report.Note($\"{told[0]}\");"),
        ("collection initializer", "", "var told = new List<object> { e }; Report.Note($\"{told[0]}\");"),
        ("dictionary", "", "var told = new Dictionary<int, object> { [1] = e }; Report.Note($\"{told[1]}\");"),
        ("LINQ", "", "Report.Note(string.Join(' ', Enumerable.Repeat<object>(e, 1)));"),
        ("query", "", "Report.Note(string.Join(' ', from one in new[] { 1 } let told = e select told));"),
        ("field of the recipe", "Exception last = null;", "last = e; Report.Note($\"{last}\");"),
        ("event", "class Bell { public event Action<object> Rung; public void Ring(FormatException one) => Rung(one); }",
            "var bell = new Bell(); bell.Rung += told => Report.Note($\"{told}\"); bell.Ring(e);"),
        ("extension method", "static string Told(this object one) => $\"{one}\";", "Report.Note(e.Told());"),
        ("operator", "class Text(string text) { public string All => text; public static Text operator +(Text one, Exception two) => new(one.All + two); }",
            "Report.Note((new Text(\"\") + e).All);"),
        ("interpolation", "", "Report.Note($\"{e,10:x}\");"),
        ("builder", "", "Report.Note(new System.Text.StringBuilder().Append(e).ToString());"),
        ("iterator", "IEnumerable<object> All(FormatException one) { yield return one; }", "Report.Note($\"{All(e).First()}\");"),
        ("nullable", "", "Exception? told = e; Report.Note($\"{told?.ToString()}\");"),
        ("equality", "", "Report.Note($\"{e.Equals(e)}\");"),
        ("thrown again by name", "", "throw e;"),
        ("as a cause", "", "throw new InvalidOperationException(\"no\", e);"),
        ("aggregate", "", "throw new AggregateException(e);"),
        ("captured", "", "System.Runtime.ExceptionServices.ExceptionDispatchInfo.Capture(e).Throw();"),
        ("task", "", "Report.Note($\"{System.Threading.Tasks.Task.FromException(e).Exception}\");"),
        ("actual value", "", "} catch (ArgumentOutOfRangeException e) { Report.Note($\"{e.ActualValue}\");"),
        ("name of a parameter", "", "} catch (ArgumentException e) { Report.Note(e.ParamName);"),
    ];

    // What needs no handler.
    private static readonly (string Way, string Code)[] Others =
    [
        ("kept", "var told = new FormatException(\"beak\");\nReport.Note($\"{told}\");"),
        ("kept and thrown", "var told = new FormatException(\"beak\");\nthrow told;"),
        ("one of two", "bool left = Art.Width > 1;\nthrow left ? new FormatException(\"beak\") : new OverflowException(\"beak\");"),
        ("given by a method", "Exception Told() => new FormatException(\"beak\");\nthrow Told();"),
        ("given by a lambda", "Func<Exception> told = () => new FormatException(\"beak\");\nthrow told();"),
        ("copied while thrown", "Exception told;\nthrow told = new FormatException(\"beak\");"),
        ("own class", "class Bad : Exception;\nthrow new Bad();"),
        ("own class with a text", "class Bad : Exception { public override string Message => base.ToString(); }\nthrow new Bad();"),
        ("own class that keeps itself", "class Bad : Exception { public Bad(List<object> all) => all.Add(this); }\nvar all = new List<object>();\n"
            + "try { throw new Bad(all); } catch (Bad) { Report.Note($\"{all[0]}\"); }"),
        ("own class with an interface", "interface ITold; class Bad : Exception, ITold;\nthrow new Bad();"),
        ("own generic class", "class Bad<T> : FormatException;\nthrow new Bad<int>();"),
        ("own class of an own class", "abstract class Bad : ArgumentException;\nclass Worse : Bad;\nthrow new Worse();"),
    ];

    // Nothing comes of them, since there is none to keep; the source check says so all the same.
    private static readonly (string Way, string Code)[] Idle =
    [
        ("default", "Report.Note($\"{default(Exception)}\");"),
        ("null", "Exception none = null;\nReport.Note($\"{none}\");"),
        ("type argument", "var none = new List<Exception>();\nReport.Note($\"{none.Count}\");"),
        ("constraint", "void Say<T>(T one) where T : Exception => Report.Note(\"\");"),
        ("pattern", "object one = 1;\nReport.Note($\"{one is FormatException}\");"),
        ("handler that doesn't look", "try { int.Parse(\"beak\"); }\ncatch (FormatException e) { Report.Note(\"no number\"); }"),
        ("cast", "object one = null;\nReport.Note($\"{(FormatException)one}\");"),
    ];

    public static TheoryData<string> Leaks => [.. Ways.Select(way => way.Way).Concat(Others.Select(way => way.Way))];

    public static TheoryData<string> Names => [.. Idle.Select(way => way.Way)];

    [Theory]
    [MemberData(nameof(Leaks))]
    public void NoWayLeadsToWhatWasThrown(string way)
    {
        string code = Code(way);
        Recipe.Compile(code).Assembly.ShouldBeNull();
        Recipe.Compile(code).Reply.Problems.ShouldContain(problem => problem.Code == "R2003" && problem.Line != null && problem.Column != null);
        // The authority, which sees neither names nor types of the text.
        RejectedRecipes.Findings(RejectedRecipes.Unchecked(code).ShouldNotBeNull())
            .ShouldContain(finding => finding.Contains("xception", StringComparison.Ordinal));
    }

    [Theory]
    [MemberData(nameof(Names))]
    public void ItsTypeIsNamedOnlyToThrowAndToCatch(string way) => Recipe.Compile(Code(way)).Reply.Problems[0].Code.ShouldBe("R2003");

    // What the source check says is said again by the authority.
    [Theory]
    [InlineData("var none = new List<Exception>();\nReport.Note($\"{none.Count}\");")]
    [InlineData("var none = new Dictionary<int, List<FormatException>>();\nReport.Note($\"{none.Count}\");")]
    [InlineData("Report.Note($\"{Enumerable.Empty<OverflowException>().Count()}\");")]
    [InlineData("(Exception, int) none = default;\nReport.Note($\"{none.Item2}\");")]
    [InlineData("Func<Exception> none = null;\nReport.Note($\"{none is null}\");")]
    [InlineData("class Held<T>;\nvar none = new Held<ArgumentException>();\nReport.Note($\"{none is null}\");")]
    [InlineData("int Count<T>() => 0;\nReport.Note($\"{Count<FormatException>()}\");")]
    public void ItIsNoTypeArgument(string code)
    {
        Recipe.Compile(code).Reply.Problems[0].Code.ShouldBe("R2003");
        RejectedRecipes.Findings(RejectedRecipes.Unchecked(code).ShouldNotBeNull())
            .ShouldBe(["The compiled recipe names an exception as a type argument."]);
    }

    [Theory]
    [InlineData("throw new FormatException(\"beak\");")]
    [InlineData("throw (new System.FormatException(\"beak\"));")]
    [InlineData("throw new(\"beak\");")]
    [InlineData("using Bad = System.FormatException;\ntry { throw new Bad(\"beak\"); } catch (Bad) { }")]
    [InlineData("string name = Art.Width > 1 ? \"sail\" : throw new InvalidOperationException(\"narrow\");\nReport.Note(name);")]
    [InlineData("try { int.Parse(\"beak\"); } catch (System.FormatException) when (Art.Width > 1) { throw; }")]
    [InlineData("try { int.Parse(\"beak\"); } catch (FormatException) { throw new InvalidOperationException(\"no\"); } finally { Report.Note(\"done\"); }")]
    [InlineData("string name = \"sail\";\nArgumentException.ThrowIfNullOrEmpty(name);\nSystem.ArgumentNullException.ThrowIfNull(name);")]
    [InlineData("int Side(string name) => name switch { \"left\" => 0, \"right\" => 1 };\nReport.Note($\"{Side(\"left\")}\");")]
    public void ItIsThrownAndCaughtByItsType(string code) => Recipe.Checked(code).ShouldNotBeNull();

    [Fact]
    public void AllThatAreListedAreKnownByTheirNames()
    {
        // The metadata check tells them so; a type that is one under another name would pass.
        System.Reflection.Assembly[] all =
            [typeof(object).Assembly, typeof(Enumerable).Assembly, typeof(Recipes.Api.World).Assembly, typeof(Recipes.Imaging.Rgba8).Assembly];
        var listed = AllowList.Current.Entries.Where(entry => entry.StartsWith("T:", StringComparison.Ordinal))
            .Select(entry => all.Select(one => one.GetType(entry[2..])).FirstOrDefault(type => type is not null)).OfType<Type>().ToList();
        listed.Count.ShouldBeGreaterThan(100);
        listed.Where(typeof(Exception).IsAssignableFrom).Select(type => type.FullName!)
            .ShouldAllBe(name => name.StartsWith("System.", StringComparison.Ordinal) && name.EndsWith("Exception", StringComparison.Ordinal));
        AllowList.Current.Entries.Where(entry => entry.Contains("Exception)", StringComparison.Ordinal))
            .ShouldNotContain(entry => AllowList.Current.Of(entry) == Use.Recipe);
    }

    private static string Code(string way) => Ways.FirstOrDefault(one => one.Way == way) is { Way: not null } found
        ? $"{found.Declared}\ntry\n{{\n    int.Parse(\"beak\");\n}}\ncatch (FormatException e)\n{{\n    {found.Done}\n}}\n"
        : Others.Concat(Idle).First(one => one.Way == way).Code;
}
