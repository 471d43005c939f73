using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes_Scripting_Tests;

public class SourceCheckTests
{
    [Theory]
    [InlineData("Report.Note(\"a\");\nSystem.IO.File.Delete(\"x\");", "R2002 recipe(2,16)", "System.IO.File.Delete")]
    [InlineData("var r =\n  new Random(1);", "R2002 recipe(2,7)", "System.Random")]
    [InlineData("using static System.Console;\nWriteLine(1);", "R2002 recipe(1,21)", "System.Console")]
    [InlineData("using F = System.IO.File;", "R2002 recipe(1,21)", "System.IO.File")]
    [InlineData("object o = 1; var t = o.GetType();", "R2002 recipe(1,25)", "System.Object.GetType")]
    [InlineData("\"a\".GetHashCode();", "R2002 recipe(1,5)", "System.String.GetHashCode")]
    [InlineData("record R(string A); new R(\"a\").GetHashCode();", "R2002 recipe(1,32)", "GetHashCode")]
    [InlineData("var a = Art.Artwork;", "R2002 recipe(1,13)", "Recipes.Api.ArtCursor.Artwork")]
    [InlineData("Begin(null);", "R2002 recipe(1,1)", "Recipes.Api.World.Begin")]
    [InlineData("System.Globalization.CultureInfo c = new(\"tr-TR\");", "R2002 recipe(1,38)", "CultureInfo")]
    [InlineData("record R { public int K => EqualityContract.MetadataToken; }", "R2002 recipe(1,28)", "EqualityContract")]
    [InlineData("new[] { 1 }.Shuffle();", "R2002 recipe(1,13)", "Shuffle")]
    [InlineData("System.IO.File.Delete();", "R2002 recipe(1,16)", "System.IO.File.Delete")]
    [InlineData("var s = System.Runtime.InteropServices.CollectionsMarshal.AsSpan(new List<int>()).Length;", "R2002 recipe(1,59)", "CollectionsMarshal.AsSpan")]
    [InlineData("try { } catch { }", "R2003 recipe(1,9)", "handler")]
    [InlineData("try { } catch (Exception e) when (e.Message == \"\") { }", "R2003 recipe(1,9)", "handler")]
    [InlineData("void M<T>() where T : Exception { try { } catch (T) { } }", "R2003 recipe(1,43)", "handler")]
    [InlineData("static int x;", "R2003 recipe(1,1)", "static")]
    [InlineData("class C { public static int X { get; set; } }", "R2003 recipe(1,11)", "static")]
    [InlineData("class C { static readonly int[] X = { 1 }; }", "R2003 recipe(1,11)", "static")]
    [InlineData("class C { ~C() { } }", "R2003 recipe(1,11)", "finalizer")]
    [InlineData("return 1;", "R2003 recipe(1,1)", "returned")]
    [InlineData("1 + 1", "R2003 recipe(1,1)", "returned")]
    [InlineData("#define X", "R2003 recipe(1,1)", "#define")]
    [InlineData("#line 5\n", "R2003 recipe(1,1)", "#line")]
    [InlineData("#pragma warning disable\n", "R2003 recipe(1,1)", "#pragma")]
    [InlineData("async void M() { }", "R2003 recipe(1,1)", "async")]
    [InlineData("lock (new object()) { }", "R2003 recipe(1,1)", "lock")]
    public void NamesWhatIsForbiddenAtItsPlace(string source, string place, string name)
    {
        var compiled = Recipe.Compile(source);
        compiled.Assembly.ShouldBeNull();
        Recipe.Places(compiled).ShouldContain(place);
        compiled.Reply.Problems.First(p => place == $"{p.Code} {p.File}({p.Line},{p.Column})").Message.ShouldContain(name);
    }

    // The compiler makes nothing of them, and gives no reason.
    [Theory]
    [InlineData("")]
    [InlineData("\n \n")]
    [InlineData("// a sail\n/* and a puffin */")]
    [InlineData("#region sail\n#endregion")]
    [InlineData("using System;")]
    public void ARecipeThatHoldsNothingSaysSo(string source)
    {
        var compiled = Recipe.Compile(source);
        compiled.Assembly.ShouldBeNull();
        Recipe.Places(compiled).ShouldBe(["R2001 recipe(1,1)"]);
        compiled.Reply.Problems[0].Message.ShouldBe("The recipe holds no statement, only empty lines or comments.");
    }

    [Fact]
    public void SaysWhatToUseInstead()
    {
        var problem = Recipe.Compile("System.IO.File.ReadAllText(\"/etc/passwd\");").Reply.Problems[0];
        problem.Message.ShouldBe("System.IO.File.ReadAllText can't be used: a recipe sees only the art.");
        problem.Hint.ShouldContain("Art.Find");
    }

    [Theory]
    [InlineData("string Who([System.Runtime.CompilerServices.CallerFilePath] string path = \"\") => path;", "attributes change")]
    [InlineData("[System.Runtime.InteropServices.StructLayout(System.Runtime.InteropServices.LayoutKind.Sequential)] struct Beak { }", "attributes change")]
    [InlineData("System.Runtime.InteropServices.Marshal.AllocHGlobal(8);", "past the bounds of arrays")]
    [InlineData("var here = System.Runtime.InteropServices.RuntimeInformation.OSDescription;", "the same pixels everywhere")]
    public void SaysWhyByWhatAThingDoes(string source, string why)
    {
        var members = Recipe.Compile(source).Reply.Problems.Where(problem => problem.Code == Codes.ForbiddenMember.Id).ToList();
        members.ShouldNotBeEmpty();
        members[0].Message.ShouldContain(why);
    }

    [Fact]
    public void ForbiddenThingsComeBeforeCompileErrors()
    {
        var codes = Recipe.Compile("int x = \"a\";\nunknown();\nSystem.IO.File.Delete(\"x\");").Reply.Problems.Select(p => p.Code).ToArray();
        codes[0].ShouldBe(Codes.ForbiddenMember.Id);
        codes.ShouldContain(Codes.DoesNotCompile.Id);
    }

    [Fact]
    public void CompileErrorsHaveAPlace() =>
        Recipe.Places(Recipe.Compile("var a = 1;\nvar b = missing;")).ShouldBe(["R2001 recipe(2,9)"]);

    [Fact]
    public void AtMostTwentyAreReported() =>
        Recipe.Compile(string.Concat(Enumerable.Repeat("System.IO.File.Delete(\"x\");\n", 50))).Reply.Problems.Length.ShouldBe(20);

    [Fact]
    public void LoadedFilesAreJudgedAtTheirOwnPlace() =>
        Recipe.Places(Recipe.Compile("#load \"snippets/x.csx\"\nx();", new LoadedText("snippets/x.csx", "\nvoid x() => Console.Beep();")))
            .ShouldBe(["R2002 snippets/x.csx(2,21)"]);

    [Fact]
    public void LoadedFilesCompile() =>
        Recipe.Compile("#load \"snippets/x.csx\"\nReport.Note(Say());", new LoadedText("snippets/x.csx", "string Say() => \"sail\";")).Reply.Problems.ShouldBeEmpty();

    [Theory]
    [InlineData("snippets/y.csx")]
    [InlineData("/etc/passwd")]
    [InlineData("../x.csx")]
    [InlineData("recipe")]
    public void WhatTheHostDidNotSendIsNotLoaded(string name) =>
        Recipe.Places(Recipe.Compile($"\n#load \"{name}\"", new LoadedText("snippets/x.csx", ""))).ShouldBe(["R2007 recipe(2,1)"]);

    [Fact]
    public void TooLongIsRefused() =>
        Recipe.Compile("//" + new string('x', 64 * 1024)).Reply.Problems.ShouldHaveSingleItem().Code.ShouldBe(Codes.TooLarge.Id);

    public static TheoryData<string> Nested =>
    [
        "var a = " + new string('(', 30_000) + "1" + new string(')', 30_000) + ";",
        "int" + string.Concat(Enumerable.Repeat("[]", 20_000)) + " a = null;",
        "var a = 1" + string.Concat(Enumerable.Repeat("+1", 20_000)) + ";",
        "var a = " + new string('-', 60_000) + "1;",
        "var a = 1" + string.Concat(Enumerable.Repeat(".ToString()", 5_000)) + ";",
        string.Concat(Enumerable.Repeat("List<", 10_000)),
        string.Concat(Enumerable.Repeat("if (true) {} else ", 3_000)) + "{}",
        string.Concat(Enumerable.Repeat("{", 60_000)),
        string.Concat(Enumerable.Repeat("(]", 20_000)),
        string.Concat(Enumerable.Repeat("$\"{", 20_000)),
        string.Concat(Enumerable.Repeat("while(a)", 7_000)),
        string.Concat(Enumerable.Repeat("a?b:", 10_000)),
        string.Concat(Enumerable.Repeat("x=>", 20_000)),
    ];

    [Theory]
    [MemberData(nameof(Nested))]
    public void DeepTextIsRefusedBeforeTheCompilerSeesIt(string source) =>
        Recipe.Compile(source).Reply.Problems[0].Code.ShouldBe(Codes.TooLarge.Id);
}
