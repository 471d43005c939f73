using System.Diagnostics;
using Recipes.Hosting.Words;

namespace Recipes.Hosting.Tests;

public class ShellWordTests
{
    [Theory]
    [InlineData("around-f07c1c.png", "around-f07c1c.png")]
    [InlineData("#f07c1c", "'#f07c1c'")]
    [InlineData("lots of may.json", "'lots of may.json'")]
    [InlineData("$HOME `id` \"x\".json", "'$HOME `id` \"x\".json'")]
    [InlineData("it's", "'it'\\''s'")]
    [InlineData("", "''")]
    public void A_word_is_quoted_as_the_shell_command_language_of_POSIX_reads_it(string text, string word) => ShellWord.Of(text).ShouldBe(word);

    [Fact]
    public void A_shell_gives_every_word_back_as_it_was()
    {
        Assert.SkipUnless(File.Exists("/bin/sh"), "no POSIX shell here");
        string[] words = ["$(touch x)", "a'b\"c\\d", "``", "-o", "*?[a]~{}", "line\nbreak", "&& ; | > <", "#x", "p\u00FCffin \U0001F427", "!"];
        var start = new ProcessStartInfo("/bin/sh") { RedirectStandardOutput = true, ArgumentList = { "-c", $"printf '%s\\0' {string.Join(' ', words.Select(ShellWord.Of))}" } };
        using var shell = Process.Start(start)!;
        string told = shell.StandardOutput.ReadToEnd();
        shell.WaitForExit();
        told.ShouldBe(string.Concat(words.Select(word => word + "\0")));
    }
}
