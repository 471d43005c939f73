using Recipes.Files;

namespace Recipes.Hosting.Tests;

/// <summary>A program in a folder of its own finds the worker, the recipes and the house of the program that it belongs to.</summary>
public sealed class ProgramFolderTests : IDisposable
{
    private readonly string root = Directory.CreateTempSubdirectory("recipes-program-").FullName;

    public void Dispose() => Directory.Delete(root, recursive: true);

    [Fact]
    public void It_is_the_folder_above_only_where_the_worker_lies_there()
    {
        string desk = Directory.CreateDirectory(Path.Combine(root, "desk")).FullName + Path.DirectorySeparatorChar;
        ProgramFolder.RootOf(desk).ShouldBe(desk);
        Lay(root);
        ProgramFolder.RootOf(desk).ShouldBe(root);
        ProgramFolder.RootOf(root + Path.DirectorySeparatorChar).ShouldBe(root + Path.DirectorySeparatorChar);
        // One with a worker of its own is a program of its own.
        Lay(desk);
        ProgramFolder.RootOf(desk).ShouldBe(desk);
    }

    private static void Lay(string folder)
    {
        Directory.CreateDirectory(Path.Combine(folder, "worker"));
        File.WriteAllText(Path.Combine(folder, "worker", "recipes-worker.dll"), "");
    }
}
