@echo off
rem Opens the instructor's desk in the browser. It needs the program uv once; see below.
cd /d "%~dp0..\.."
set "PATH=%PATH%;%USERPROFILE%\.local\bin;%USERPROFILE%\.cargo\bin"
rem what was installed before starts without the network
if exist ".venv\Scripts\coursekit.exe" goto start
where uv >nul 2>&1
if errorlevel 1 goto none
echo Getting ready. The first start takes the network and a few minutes.
uv sync
if not exist ".venv\Scripts\coursekit.exe" goto none
:start
".venv\Scripts\coursekit.exe" desk %*
if errorlevel 1 pause
exit /b 0
:none
echo The desk needs the program uv. Get it once as https://docs.astral.sh/uv says, then start again.
pause
exit /b 1
