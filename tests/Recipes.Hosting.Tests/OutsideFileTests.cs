using Recipes.Hosting.Tests.Work;
using Recipes.Problems;

namespace Recipes.Hosting.Tests;

/// <summary>Files that anybody could have put where the program reads.</summary>
public sealed class OutsideFileTests : IDisposable
{
    private readonly string folder = Directory.CreateTempSubdirectory("recipes-outside").FullName;

    public void Dispose() => Directory.Delete(folder, recursive: true);

    [Fact]
    public void Bytes_are_read_up_to_the_longest()
    {
        string file = Path.Combine(folder, "ten");
        File.WriteAllBytes(file, [.. Enumerable.Range(0, 10).Select(i => (byte)i)]);
        OutsideFile.Read(file, 10).ShouldBe(Enumerable.Range(0, 10).Select(i => (byte)i));
        OutsideFile.Read(file, 9).ShouldBeNull();
        File.WriteAllBytes(file, []);
        OutsideFile.Read(file, 0).ShouldBe([]);
        OutsideFile.Head(file, 4).ShouldBe([]);
        File.WriteAllBytes(file, [1, 2, 3]);
        OutsideFile.Head(file, 2).ShouldBe([1, 2]);
        OutsideFile.Head(file, 4).ShouldBe([1, 2, 3]);
        Should.Throw<FileNotFoundException>(() => OutsideFile.Read(Path.Combine(folder, "none"), 10));
        Should.Throw<UnauthorizedAccessException>(() => OutsideFile.Read(folder, 10));
    }

    [Fact]
    public async Task A_pipe_has_no_head()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no pipes among files.");
        string pipe = Path.Combine(folder, "page.md");
        await Child.RunProgram("mkfifo", pipe);
        var cancel = TestContext.Current.CancellationToken;
        (await Task.Run(() => OutsideFile.Head(pipe, 100), cancel).WaitAsync(TimeSpan.FromSeconds(60), cancel)).ShouldBe([]);
    }

    [Theory]
    [InlineData("art.png")]
    [InlineData("chart.txt")]
    [InlineData("setup.json")]
    [InlineData("recipe.csx")]
    public async Task A_pipe_is_refused_and_never_waited_for(string name)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no pipes among files.");
        string pipe = Path.Combine(folder, name), link = Path.Combine(folder, "link-" + name);
        await Child.RunProgram("mkfifo", pipe);
        File.CreateSymbolicLink(link, pipe);
        foreach (string file in (string[])[pipe, link, "/dev/zero"])
        {
            Action read = Path.GetExtension(name) switch
            {
                ".png" => () => ArtFile.Read(file),
                ".txt" => () => ReadChart.Read(file),
                ".json" => () => SetupStore.Find(file),
                _ => () => RecipeSource.Read("fun-run", file),
            };
            // In time, not for ever.
            var problem = await Should.ThrowAsync<ProblemException>(Task.Run(read, TestContext.Current.CancellationToken).WaitAsync(TimeSpan.FromSeconds(60), TestContext.Current.CancellationToken));
            problem.Problems[0].Code.Exit.ShouldBe(Path.GetExtension(name) switch { ".json" => ExitCode.Usage, ".csx" => ExitCode.RecipeRefused, _ => ExitCode.Art });
        }
    }
}
