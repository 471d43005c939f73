namespace Recipes.Files;

/// <summary>Where the work file of an art lies.</summary>
public static class WorkPath
{
    /// <summary><c>art.png.work</c> beside the art, or in a folder for work files.</summary>
    public static string Of(string artPath, string? workFolder)
    {
        ArgumentException.ThrowIfNullOrEmpty(artPath);
        return workFolder is null ? artPath + ".work" : Path.Combine(workFolder, Path.GetFileName(artPath) + ".work");
    }
}
